import { type Command, Option } from 'commander';
import { planningWeather } from '../../planning/planning-context.ts';
import { parseSiteDay } from '../../site/time/site-clock.ts';
import type { ConfigOption } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';
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
    .description('show the hourly weather with reference ET, and what was filled')
    .option('--from <day>', 'first site day, YYYY-MM-DD (default: today)')
    .option('--days <n>', 'site days', '1')
    .addOption(
      new Option('--format <format>', 'how to print').choices(['table', 'csv']).default('table'),
    )
    .addHelpText('after', '\nExample:\n  $ dewbeat weather --from 2026-07-01 --days 2 --format csv')
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<WeatherOptions>();
      await readSite(options, shell, async ({ config, weather }) => {
        const { clock, site } = config;
        const nowMs = shell.nowMs();
        const from =
          options.from === undefined ? clock.siteDayOf(nowMs) : parseSiteDay(options.from);
        const days = Number(options.days);
        if (from === null) {
          throw new CommandFailure(2, `--from: no day (got ${options.from}); write YYYY-MM-DD`);
        }
        if (!Number.isInteger(days) || days < 1 || days > 366) {
          throw new CommandFailure(2, `--days: must be 1 to 366 (got ${options.days})`);
        }
        const { hours, reading } = await planningWeather(weather, site, {
          fromMs: clock.startOf(from),
          toMs: clock.startOf(clock.addDays(from, days)),
          nowMs,
          dayStartMs: clock.startOf(from),
        });
        for (const problem of reading.problems) {
          const rule = problem.rule === undefined ? '' : ` (check ${problem.rule})`;
          shell.err(`${problem.where}: ${problem.what}; ${problem.done}${rule}`);
        }
        if (options.format === 'csv') shell.out(weatherCsv(hours, clock));
        else
          shell.out(
            weatherTable({ hours, clock, units: config.units, source: reading.source, nowMs }),
          );
      });
    });
}
