import { mkdirSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import type { Command } from 'commander';
import type { Language } from '../../../adapters/contract.ts';
import type { SiteDay } from '../../../adapters/site-clock.ts';
import { READING_MS } from '../../planning/propose-plan.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import { openWeather } from '../../site/config/open-weather.ts';
import type { RevisionRule } from '../../site/config/service-schema.ts';
import type { ReplayForecast } from '../../studies/replay/known-weather.ts';
import { type FollowedDay, type Revisions, replay } from '../../studies/replay/replay.ts';
import { daysFile, runsFile } from '../../studies/replay/report/figures.ts';
import { type ReplayCaption, replayTable } from '../../studies/replay/report/replay-text.ts';
import { reportHtml } from '../../studies/replay/report/report-html.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { readerOf, sayReason, sayTo } from '../../words/plan-words.ts';
import type { ConfigOption } from './config-option.ts';
import { dayGiven, daysGiven, wrongOption } from './given-options.ts';
import { languageOption } from './language-option.ts';
import { openConfig } from './open-config.ts';
import { problemLine } from './reading-problem.ts';
import type { Shell } from './shell.ts';
import { weatherConfigFor } from './weather-config-for.ts';

interface ReplayOptions extends ConfigOption {
  weather?: string;
  from: string;
  days: string;
  out: string;
  forecast: string;
  revisions?: true;
  leeway?: true;
  confirmAfter: string;
  language: Language;
}

const DAY_MS = 24 * 3_600_000;
const MIN_MS = 60_000;

/** `dewbeat replay`: what the plans would have done on weather that has passed. */
export function addReplay(program: Command, shell: Shell): void {
  program
    .command('replay')
    .description(whatItDoes('replay'))
    .option('--weather <file>', say('replay.weather'))
    .requiredOption('--from <day>', say('replay.from'))
    .option('--days <n>', say('replay.days'), '7')
    .requiredOption('--out <folder>', say('replay.out'))
    .option('--forecast <what>', say('replay.forecast'), 'perfect')
    .option('--revisions', say('replay.revisions'))
    .option('--leeway', say('replay.leeway'))
    .option('--confirm-after <minutes>', say('replay.confirm_after'), '15')
    .addOption(languageOption(say('replay.language')))
    .addHelpText('after', helpAfter('replay'))
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<ReplayOptions>();
      const { config } = openConfig(options, shell);
      const { clock } = config;
      const days = daysOf(options, clock.addDays);
      const revisions = revisionsOf(options, config.revisions);
      const span = {
        fromMs: clock.startOf(days[0] as SiteDay) - 3 * DAY_MS,
        toMs: clock.startOf(clock.addDays(days.at(-1) as SiteDay, 2)),
      };
      const read = async (file: string | undefined) => {
        const described =
          file === undefined ? undefined : weatherConfigFor(resolve(shell.cwd, file), config);
        const reading = await openWeather(config, described).read({ ...span, nowMs: span.toMs });
        for (const problem of reading.problems) shell.err(problemLine(problem));
        return reading;
      };
      const actual = await read(options.weather);
      const forecast: ReplayForecast =
        options.forecast === 'perfect' || options.forecast === 'persistence'
          ? { kind: options.forecast }
          : { kind: 'source', reading: await read(options.forecast) };
      const reader = readerOf({ ...config, language: options.language });
      const bar = shell.interactive ? await progressBar() : null;
      bar?.start(days.length, 0);
      const done = await replay({
        config,
        actual,
        days,
        forecast,
        revisions,
        leeway: options.leeway === undefined ? null : followedAs(config),
        onDay: async (count) => {
          bar?.update(count);
          // Lets the bar be drawn, and a person end it.
          await new Promise(setImmediate);
        },
      });
      bar?.stop();
      const folder = resolve(shell.cwd, options.out);
      mkdirSync(folder, { recursive: true });
      writeFileSync(
        join(folder, 'runs.csv'),
        runsFile(done, clock, (reason) => sayReason(reason, reader)),
      );
      writeFileSync(join(folder, 'days.csv'), daysFile(done));
      const caption: ReplayCaption = {
        forecast:
          forecast.kind === 'source'
            ? { kind: 'source', source: forecast.reading.source }
            : forecast,
        confirmedAfterMin: revisions === null ? null : revisions.confirmMs / MIN_MS,
        isFollowed: options.leeway === true,
        weather: actual.source,
      };
      writeFileSync(
        join(folder, 'report.html'),
        reportHtml({ config, days: done, reader }, caption),
      );
      shell.out(replayTable(done, caption, reader));
      shell.out(sayTo(reader)('replay.written', { folder }));
    });
}

function revisionsOf(options: ReplayOptions, rule: RevisionRule): Revisions | null {
  const minutes = Number(options.confirmAfter);
  if (!(minutes >= 0 && minutes <= 240)) {
    throw wrongOption('confirm-after', 'replay.bad_minutes', { got: options.confirmAfter });
  }
  if (options.revisions === undefined) return null;
  if (options.leeway === true) throw wrongOption('leeway', 'replay.leeway_or_revisions', {});
  return { rule, everyMs: rule.everyMs, confirmMs: minutes * MIN_MS };
}

/** Looks as often as the daemon does; what it changes begins no sooner than its own plans do. */
function followedAs({ revisions, site }: LoadedConfig): FollowedDay {
  if (site.limits.leeway == null) throw wrongOption('leeway', 'replay.no_leeway', {});
  return { everyMs: revisions.everyMs, leadMs: READING_MS };
}

/** Loaded only where a person watches. */
async function progressBar() {
  const { default: cliProgress } = await import('cli-progress');
  return new cliProgress.SingleBar({ format: say('replay.bar') });
}

function daysOf(
  options: ReplayOptions,
  addDays: (day: SiteDay, days: number) => SiteDay,
): SiteDay[] {
  const from = dayGiven('from', options.from);
  const count = daysGiven(options.days);
  return Array.from({ length: count }, (_, index) => addDays(from, index));
}
