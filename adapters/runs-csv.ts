import type { DayPlan } from '../calc/schedule/day-plan.ts';
import type { Reason } from '../calc/schedule/reasons.ts';
import type { Run } from '../calc/schedule/run.ts';
import type { SiteClock } from './site-clock.ts';

export const RUNS_CSV_HEADER = 'bed,station,start,run_seconds,gross_mm,net_mm,cycle,reason';

/** A reason in a few plain words; the daemon's wording, so that page, card and CSV say the same. */
export type SayReason = (reason: Reason) => string;

/**
 * Runs as CSV after RFC 4180 (CRLF, quoted where needed), one row for each run in the order given;
 * `start` is ISO 8601 with the site's offset.
 */
export function runsCsv(given: {
  runs: readonly Run[];
  plan: DayPlan | null;
  clock: SiteClock;
  sayReason: SayReason;
}): string {
  const rows = given.runs.map((run) =>
    [
      run.bedId,
      run.stationId,
      given.clock.isoOf(run.startMs),
      String(Math.round(run.runS)),
      run.grossMm.toFixed(3),
      run.netMm.toFixed(3),
      String(run.cycle),
      reasonOf(run, given),
    ]
      .map(quoted)
      .join(','),
  );
  return [RUNS_CSV_HEADER, ...rows].map((row) => `${row}\r\n`).join('');
}

function reasonOf(run: Run, given: { plan: DayPlan | null; sayReason: SayReason }): string {
  const bed = given.plan?.beds.find((candidate) => candidate.bedId === run.bedId);
  const cycle = bed?.cycles.find((candidate) => candidate.cycle === run.cycle);
  return (cycle?.reasons ?? []).map(given.sayReason).join('; ');
}

function quoted(field: string): string {
  return /[",\r\n]/.test(field) ? `"${field.replaceAll('"', '""')}"` : field;
}
