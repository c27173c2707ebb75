import { RUNS_CSV_HEADER, runsCsv } from '../../adapters/runs-csv.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { Reason } from '../../calc/schedule/reasons.ts';
import type { ReplayedDay } from './replay-day.ts';

const DAYS_HEADER =
  'site_day,bed,loss_mm,gross_mm,net_mm,drained_mm,cycles,minutes_below_dry_limit';

/** Every run of the replayed days, in the form that the file output writes. */
export function runsFile(
  days: readonly ReplayedDay[],
  clock: SiteClock,
  sayReason: (reason: Reason) => string,
): string {
  const rows = days.map(({ plan }) =>
    runsCsv({ runs: plan.runs, plan, clock, sayReason }).slice(RUNS_CSV_HEADER.length + 2),
  );
  return `${RUNS_CSV_HEADER}\r\n${rows.join('')}`;
}

/** One row a bed and day: what it lost and got, and how long it was too dry. */
export function daysFile(days: readonly ReplayedDay[]): string {
  const rows = days.flatMap(({ siteDay, outcomes }) =>
    outcomes.map((one) =>
      [
        siteDay,
        one.bedId,
        one.lossMm.toFixed(3),
        one.grossMm.toFixed(3),
        one.netMm.toFixed(3),
        one.drainedMm.toFixed(3),
        one.cycles,
        one.minutesBelowDryLimit,
      ].join(','),
    ),
  );
  return [DAYS_HEADER, ...rows].map((row) => `${row}\r\n`).join('');
}
