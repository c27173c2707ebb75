import { type Command, Option } from 'commander';
import { planningWeather } from '../../planning/planning-context.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import type { ConfigOption } from './config-option.ts';
import { dayGiven, daysGiven } from './given-options.ts';
import { problemLine } from './reading-problem.ts';
import type { Shell } from './shell.ts';
import { readSite } from './site-session.ts';
import { weatherCsv, weatherTable } from './weather-table.ts';

interface WeatherOptions extends ConfigOption {
  from?: string;
  days: string;
  format: 'table' | 'csv';
}

/** `dewbeat weather`: the hours that plans rest on, with reference ET and what was filled. */
export function addWeather(program: Command, shell: Shell): void {
  program
    .command('weather')
    .description(whatItDoes('weather'))
    .option('--from <day>', say('weather.from'))
    .option('--days <n>', say('weather.days'), '1')
    .addOption(
      new Option('--format <format>', say('option.format'))
        .choices(['table', 'csv'])
        .default('table'),
    )
    .addHelpText('after', helpAfter('weather'))
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<WeatherOptions>();
      await readSite(options, shell, async ({ config, weather }) => {
        const { clock, site } = config;
        const nowMs = shell.nowMs();
        const from =
          options.from === undefined ? clock.siteDayOf(nowMs) : dayGiven('from', options.from);
        const days = daysGiven(options.days);
        const { hours, reading } = await planningWeather(weather, site, {
          fromMs: clock.startOf(from),
          toMs: clock.startOf(clock.addDays(from, days)),
          nowMs,
          dayStartMs: clock.startOf(from),
        });
        for (const problem of reading.problems) {
          shell.err(problemLine(problem));
        }
        if (options.format === 'csv') shell.out(weatherCsv(hours, clock));
        else
          shell.out(
            weatherTable({ hours, clock, units: config.units, source: reading.source, nowMs }),
          );
      });
    });
}
