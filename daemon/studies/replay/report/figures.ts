import { csvText } from '../../../../adapters/csv-text.ts';
import { RUNS_CSV_HEADER, runsCsv } from '../../../../adapters/plan-document.ts';
import type { SiteClock } from '../../../../adapters/site-clock.ts';
import type { Reason } from '../../../../calc/schedule/day-plan.ts';
import type { Site } from '../../../../calc/schedule/site.ts';
import { type Coverage, coverageOf } from '../coverage.ts';
import type { ReplayedDay } from '../replay.ts';

const QUARTER_MS = 15 * 60_000;

/** What a bed came to over all the days. */
interface BedFigures {
  bedId: string;
  name: string;
  lossMm: number;
  netMm: number;
  drainedMm: number;
  cycles: number;
  dryMin: number;
  coverage: Coverage;
}

/** Sums of each bed, in the site's order. */
export function figuresByBed(site: Site, days: readonly ReplayedDay[]): BedFigures[] {
  return site.beds.map((bed) => {
    const own = days.flatMap((day) => day.outcomes.filter((one) => one.bedId === bed.id));
    const sum = (pick: (one: (typeof own)[number]) => number) =>
      own.reduce((total, one) => total + pick(one), 0);
    return {
      bedId: bed.id,
      name: bed.name,
      lossMm: sum((one) => one.lossMm),
      netMm: sum((one) => one.netMm),
      drainedMm: sum((one) => one.drainedMm),
      cycles: sum((one) => one.cycles),
      dryMin: sum((one) => one.minutesBelowDryLimit),
      coverage: coverageOf(
        days.flatMap(({ dryings }) => dryings.filter((one) => one.bedId === bed.id)),
      ),
    };
  });
}

/** Mean over the beds of what a day came to. */
export function meanOfDay(
  { outcomes }: ReplayedDay,
  pick: (outcome: ReplayedDay['outcomes'][number]) => number,
): number {
  return outcomes.reduce((sum, one) => sum + pick(one), 0) / Math.max(1, outcomes.length);
}

/** Mean flow of each quarter of an hour of a day, from its morning to the next, L/min. */
export function flowByQuarter(site: Site, day: ReplayedDay): number[] {
  const flowOf = new Map(site.stations.map((one) => [one.id, one.flowLPerMin]));
  const quarters = Math.ceil((day.toMs - day.fromMs) / QUARTER_MS);
  const flow = Array.from({ length: quarters }, () => 0);
  for (const run of day.plan.runs) {
    const endMs = run.startMs + run.runS * 1000;
    const first = Math.max(0, Math.floor((run.startMs - day.fromMs) / QUARTER_MS));
    for (let quarter = first; quarter < quarters; quarter++) {
      const fromMs = day.fromMs + quarter * QUARTER_MS;
      if (fromMs >= endMs) break;
      const openMs = Math.min(endMs, fromMs + QUARTER_MS) - Math.max(run.startMs, fromMs);
      flow[quarter] =
        (flow[quarter] ?? 0) +
        ((flowOf.get(run.stationId) ?? 0) * Math.max(0, openMs)) / QUARTER_MS;
    }
  }
  return flow;
}

/** The greatest flow at any instant of a day, L/min. */
export function peakFlowLPerMin(site: Site, { plan }: ReplayedDay): number {
  const flowOf = new Map(site.stations.map((one) => [one.id, one.flowLPerMin]));
  const changes = plan.runs
    .flatMap((run) => {
      const flow = flowOf.get(run.stationId) ?? 0;
      return [
        { atMs: run.startMs, flow },
        { atMs: run.startMs + run.runS * 1000, flow: -flow },
      ];
    })
    // Where one valve shuts as another opens, the shutting counts first.
    .sort((a, b) => a.atMs - b.atMs || a.flow - b.flow);
  let now = 0;
  let peak = 0;
  for (const { flow } of changes) {
    now += flow;
    peak = Math.max(peak, now);
  }
  return peak;
}

const DAYS_HEADER = [
  'site_day',
  'bed',
  'loss_mm',
  'gross_mm',
  'net_mm',
  'drained_mm',
  'cycles',
  'minutes_below_dry_limit',
] as const;

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
    outcomes.map((one) => [
      siteDay,
      one.bedId,
      one.lossMm.toFixed(3),
      one.grossMm.toFixed(3),
      one.netMm.toFixed(3),
      one.drainedMm.toFixed(3),
      String(one.cycles),
      String(one.minutesBelowDryLimit),
    ]),
  );
  return csvText([DAYS_HEADER, ...rows]);
}
