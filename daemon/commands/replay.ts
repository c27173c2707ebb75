import { existsSync, mkdirSync, writeFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { display } from '../../adapters/display-units.ts';
import type { SiteDay } from '../../adapters/site-clock.ts';
import { type Reason, sayReason } from '../../calc/schedule/reasons.ts';
import { openWeather } from '../planning/open-weather.ts';
import { replay } from '../replay/replay.ts';
import type { ReplayedDay } from '../replay/replay-day.ts';
import { daysFile, runsFile } from '../replay/replay-files.ts';
import { parseSiteDay } from '../time/site-clock.ts';
import { type ConfigOption, openConfig } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { table } from './text-table.ts';
import { weatherConfigFor } from './weather-config-for.ts';

interface ReplayOptions extends ConfigOption {
  weather?: string;
  from: string;
  days: string;
  out: string;
  forecast: 'perfect' | 'persistence';
}

const DAY_MS = 24 * 3_600_000;

/** `dewbeat replay`: what the plans would have done on weather that has passed. */
export function addReplay(program: Command, shell: Shell): void {
  program
    .command('replay')
    .description('plan past days as their mornings would have; sends nothing, changes nothing')
    .option('--weather <file>', 'weather file (EPW, or CSV as the config describes it)')
    .requiredOption('--from <day>', 'first site day, YYYY-MM-DD')
    .option('--days <n>', 'site days', '7')
    .requiredOption('--out <folder>', 'folder for runs.csv and days.csv')
    .addOption(
      new Option('--forecast <kind>', 'what the mornings foresee')
        .choices(['perfect', 'persistence'])
        .default('perfect'),
    )
    .addHelpText(
      'after',
      '\nExample:\n  $ dewbeat replay -c greens.yaml --weather typical-year.epw --from 2026-07-01 --days 7 --out replay',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<ReplayOptions>();
      const { config } = openConfig(options, shell);
      const { clock } = config;
      const days = daysOf(options, clock.addDays);
      const source = openWeather(
        config,
        options.weather === undefined
          ? undefined
          : weatherConfigFor(resolve(shell.cwd, options.weather), config),
      );
      const fromMs = clock.startOf(days[0] as SiteDay);
      const toMs = clock.startOf(clock.addDays(days.at(-1) as SiteDay, 2));
      const actual = await source.read({ fromMs: fromMs - 3 * DAY_MS, toMs, nowMs: toMs });
      for (const problem of actual.problems) {
        shell.err(`${problem.where}: ${problem.what}; ${problem.done}`);
      }
      const show = display(config.units);
      const say = { timeOf: clock.timeOf, depth: show.depth };
      const bar = shell.interactive ? await progressBar() : null;
      bar?.start(days.length, 0);
      const done = await replay({
        config,
        actual,
        days,
        forecast: { kind: options.forecast },
        revisions: null,
        say,
        onDay: (count) => bar?.update(count),
      });
      bar?.stop();
      const folder = resolve(shell.cwd, options.out);
      if (!existsSync(folder)) mkdirSync(folder, { recursive: true });
      writeFileSync(
        join(folder, 'runs.csv'),
        runsFile(done, clock, (reason: Reason) => sayReason(reason, say)),
      );
      writeFileSync(join(folder, 'days.csv'), daysFile(done));
      shell.out(summary(done, options.forecast, show.depth));
      shell.out(`Written: ${join(folder, 'runs.csv')} and ${join(folder, 'days.csv')}`);
    });
}

/** Loaded only where a person watches. */
async function progressBar() {
  const { default: cliProgress } = await import('cli-progress');
  return new cliProgress.SingleBar({ format: '{value} of {total} days [{bar}]' });
}

function daysOf(
  options: ReplayOptions,
  addDays: (day: SiteDay, days: number) => SiteDay,
): SiteDay[] {
  const from = parseSiteDay(options.from);
  const count = Number(options.days);
  if (from === null) {
    throw new CommandFailure(2, `--from: no day (got ${options.from}); write YYYY-MM-DD`);
  }
  if (!Number.isInteger(count) || count < 1 || count > 366) {
    throw new CommandFailure(2, `--days: must be 1 to 366 (got ${options.days})`);
  }
  return Array.from({ length: count }, (_, index) => addDays(from, index));
}

function summary(
  days: readonly ReplayedDay[],
  forecast: string,
  depth: (mm: number) => string,
): string {
  const rows = days.map(({ siteDay, outcomes }) => {
    const mean = (pick: (index: number) => number) =>
      outcomes.reduce((sum, _, index) => sum + pick(index), 0) / Math.max(1, outcomes.length);
    const loss = mean((index) => outcomes[index]?.lossMm ?? 0);
    const net = mean((index) => outcomes[index]?.netMm ?? 0);
    return [
      siteDay,
      depth(loss),
      depth(net),
      loss > 0 ? `${Math.round((100 * net) / loss)} %` : '-',
      depth(mean((index) => outcomes[index]?.drainedMm ?? 0)),
      mean((index) => outcomes[index]?.cycles ?? 0).toFixed(1),
      String(Math.round(mean((index) => outcomes[index]?.minutesBelowDryLimit ?? 0))),
    ];
  });
  return [
    `Means over the beds, ${forecast} forecast`,
    table(['site day', 'loss', 'water', 'of loss', 'drains', 'cycles', 'min dry'], rows),
  ].join('\n');
}
