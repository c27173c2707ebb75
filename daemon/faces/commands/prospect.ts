import { resolve } from 'node:path';
import { type Command, Option } from 'commander';
import type { Language } from '../../../adapters/contract.ts';
import type { SiteDay } from '../../../adapters/site-clock.ts';
import { openWeather } from '../../site/config/open-weather.ts';
import { parseSiteDay } from '../../site/time/site-clock.ts';
import { MAX_GROW_IN_DAYS, type Prospect, prospectOf } from '../../studies/prospect/prospect.ts';
import { prospectCsv, prospectRows, prospectTable } from '../../studies/prospect/prospect-text.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { readerOf } from '../../words/plan-words.ts';
import type { ConfigOption } from './config-option.ts';
import { wrongOption } from './given-options.ts';
import { languageOption } from './language-option.ts';
import { openConfig } from './open-config.ts';
import { problemLine } from './reading-problem.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { weatherConfigFor } from './weather-config-for.ts';

interface ProspectOptions extends ConfigOption {
  weather?: string;
  dates: string;
  format: 'table' | 'csv' | 'json';
  language: Language;
}

const DAY_MS = 24 * 3_600_000;

/** `dewbeat prospect`: what a day of seeding would bring, before anything is sown. */
export function addProspect(program: Command, shell: Shell): void {
  program
    .command('prospect')
    .description(whatItDoes('prospect'))
    .requiredOption('--dates <days>', say('prospect.dates'))
    .option('--weather <file>', say('prospect.weather'))
    .addOption(
      new Option('--format <format>', say('option.format'))
        .choices(['table', 'csv', 'json'])
        .default('table'),
    )
    .addOption(languageOption(say('prospect.language')))
    .addHelpText('after', helpAfter('prospect'))
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<ProspectOptions>();
      const { config } = openConfig(options, shell);
      const { clock } = config;
      const described =
        options.weather === undefined
          ? undefined
          : weatherConfigFor(resolve(shell.cwd, options.weather), config);
      const source = openWeather(config, described);
      const found: Prospect[] = [];
      for (const seededOn of daysOf(options.dates)) {
        const fromMs = clock.startOf(seededOn) - 3 * DAY_MS;
        const toMs = clock.startOf(clock.addDays(seededOn, MAX_GROW_IN_DAYS + 3));
        const reading = await source.read({ fromMs, toMs, nowMs: toMs });
        if (reading.hours.length === 0) {
          throw new CommandFailure(
            1,
            say('prospect.no_weather', { source: reading.source, day: seededOn }),
          );
        }
        if (found.length === 0) {
          for (const problem of reading.problems) shell.err(problemLine(problem));
        }
        const bar = shell.interactive ? await progressBar() : null;
        bar?.start(MAX_GROW_IN_DAYS, 0, { seededOn });
        found.push(
          await prospectOf({
            config,
            reading,
            seededOn,
            onDay: async (done) => {
              bar?.update(done);
              await new Promise(setImmediate);
            },
          }),
        );
        bar?.stop();
      }
      const rows = prospectRows(config, found);
      if (options.format === 'json') shell.out(JSON.stringify(rows, null, 2));
      else if (options.format === 'csv') shell.out(prospectCsv(rows));
      else {
        const reader = readerOf({ ...config, language: options.language });
        shell.out(prospectTable(config, found, reader));
      }
    });
}

/** Loaded only where a person watches. */
async function progressBar() {
  const { default: cliProgress } = await import('cli-progress');
  return new cliProgress.SingleBar({ format: say('prospect.bar') });
}

function daysOf(text: string): SiteDay[] {
  return text.split(',').map((one) => {
    const day = parseSiteDay(one.trim());
    if (day !== null) return day;
    throw wrongOption('dates', 'prospect.bad_day', { got: one });
  });
}
