import type { Run } from '../../calc/schedule/run.ts';
import { grouped } from '../grouped.ts';
import {
  type ActualRun,
  type FieldRule,
  type OrderFacts,
  orderState,
  type RanReport,
  type RunState,
  type RunStateName,
  worstState,
} from '../site/store/run-state.ts';

/** A confirmed plan's runs, and what was done about them. */
export interface ConfirmedRuns {
  siteDay: string;
  revision: number;
  /** Without those that were missed at the confirm. */
  runs: readonly Run[];
  missed: readonly Run[];
  /** When a later confirm took its place. */
  replacedMs: number;
  holds: readonly { atMs: number; beds: 'all' | readonly string[] }[];
  orders: readonly OrderFacts[];
}

export interface Reconciled {
  /** In order of time. */
  runs: RunState[];
  /** Reported runs that nobody had asked for. */
  strays: RanReport[];
}

/** An output that has reported a run in this time before is taken to report every run. */
const REPORTING_MS = 7 * 24 * 3_600_000;
/** One that reports only later than this after was not there yet: it says nothing of the past. */
const NOT_YET_MS = 3_600_000;

/**
 * Holds what the field reported against what was confirmed, sent and held. Pure.
 *
 * @param input.confirmed Oldest first.
 * @param input.reports Every run reported, in the order in which the reports came.
 * @param input.byHand Stations that a person has run: their reports are nobody's stray.
 */
export function reconcile(input: {
  confirmed: readonly ConfirmedRuns[];
  reports: readonly RanReport[];
  byHand: readonly { stationId: string | null; startMs: number }[];
  nowMs: number;
  rule: Pick<FieldRule, 'lateMs'>;
}): Reconciled {
  const { confirmed, byHand, nowMs, rule } = input;
  const reports = lastOfEach(input.reports);
  const open = new Set(reports);
  const asked = confirmed.flatMap((plan) => expected(plan, nowMs));
  const live = asked.filter(({ state }) => state !== 'withdrawn' && state !== 'missed');
  const actuals = new Map<Expected, ActualRun>();
  // What was to run has the first claim on a report, what was taken out the second.
  const ofStation = grouped(reports, (report) => report.stationId);
  for (const one of [...live, ...asked.filter((other) => !live.includes(other))]) {
    const own = (ofStation.get(one.run.stationId) ?? [])
      .filter(
        (report) => open.has(report) && Math.abs(report.startMs - one.run.startMs) <= rule.lateMs,
      )
      .toSorted((a, b) => distance(a, one.run) - distance(b, one.run));
    const [nearest] = own;
    if (nearest === undefined) continue;
    actuals.set(one, actualOf(nearest));
    // Another output may tell of the same opening of the valve.
    const outputs = new Set<string>();
    for (const report of own) {
      if (outputs.has(report.output)) continue;
      outputs.add(report.output);
      open.delete(report);
    }
  }
  const told = reporting(reports);
  const runs = asked.map((one): RunState => {
    const actual = actuals.get(one) ?? null;
    const withoutReport = ended(one, { reports: told, nowMs, rule });
    const state = actual === null ? withoutReport : 'ran';
    const { run, siteDay, revision, outputs } = one;
    return { run, siteDay, revision, state, withoutReport, actual, outputs };
  });
  const strays = [...open].filter(
    (report) =>
      !byHand.some(
        ({ stationId, startMs }) =>
          stationId === report.stationId && Math.abs(startMs - report.startMs) <= rule.lateMs,
      ),
  );
  return { runs: onceEach(runs), strays: strays.toSorted((a, b) => a.startMs - b.startMs) };
}

interface Expected extends Omit<RunState, 'actual' | 'withoutReport'> {
  /** Outputs that had it in time. */
  inTime: string[];
}

function expected(plan: ConfirmedRuns, nowMs: number): Expected[] {
  const { siteDay, revision, missed, replacedMs, holds, orders } = plan;
  const about = { siteDay, revision };
  const standing = plan.runs
    .filter((run) => run.startMs < replacedMs)
    .map((run): Expected => {
      const outputs = orders.map((order) => ({
        output: order.output,
        state: orderState(order, run, nowMs),
      }));
      const held = holds.some(
        (hold) =>
          run.startMs >= hold.atMs && (hold.beds === 'all' || hold.beds.includes(run.bedId)),
      );
      const inTime = outputs
        .filter(({ state }) => state === 'sent' || state === 'accepted')
        .map(({ output }) => output);
      const state = held ? 'withdrawn' : worstState(outputs.map((one) => one.state));
      return { ...about, run, state, outputs, inTime };
    });
  const late = missed.map(
    (run): Expected => ({ ...about, run, state: 'missed', outputs: [], inTime: [] }),
  );
  return [...standing, ...late];
}

/** What is left to say of a run that no report tells of. */
function ended(
  { run, state, inTime }: Expected,
  at: { reports: Reporting; nowMs: number; rule: Pick<FieldRule, 'lateMs'> },
): RunStateName {
  const endMs = run.startMs + run.runS * 1000;
  const open = state === 'sent' || state === 'accepted';
  const told = inTime.some((output) => at.reports(output, endMs));
  if (!open || at.nowMs < endMs) return state;
  if (!told) return 'assumed';
  return at.nowMs < endMs + at.rule.lateMs ? state : 'missing';
}

/** Whether an output reports at all, as seen from the end of a run. */
type Reporting = (output: string, endMs: number) => boolean;

/** Sorted once: every run asks, and there may be many reports. */
function reporting(reports: readonly RanReport[]): Reporting {
  const ofOutput = new Map(
    [...grouped(reports, ({ output }) => output)].map(([output, own]) => {
      const sorted = own.toSorted((a, b) => a.startMs - b.startMs);
      let newestMs = Number.NEGATIVE_INFINITY;
      // The newest word among all that begin no later than each.
      return [
        output,
        sorted.map(({ startMs, atMs }) => {
          newestMs = Math.max(newestMs, atMs);
          return { startMs, newestMs };
        }),
      ];
    }),
  );
  return (output, endMs) => {
    const own = ofOutput.get(output) ?? [];
    let low = 0;
    let high = own.length;
    while (low < high) {
      const middle = (low + high) >>> 1;
      if ((own[middle]?.startMs ?? 0) - endMs <= NOT_YET_MS) low = middle + 1;
      else high = middle;
    }
    const last = own[low - 1];
    return last !== undefined && endMs - last.newestMs <= REPORTING_MS;
  };
}

/** A run that a later plan took over stands in both: the one that was not missed counts. */
function onceEach(runs: readonly RunState[]): RunState[] {
  const byKey = new Map<string, RunState>();
  for (const one of runs) {
    const key = `${one.run.stationId} ${one.run.startMs}`;
    const before = byKey.get(key);
    if (before === undefined || before.state === 'missed' || one.state !== 'missed') {
      byKey.set(key, one);
    }
  }
  return [...byKey.values()].toSorted(
    (a, b) => a.run.startMs - b.run.startMs || (a.run.stationId < b.run.stationId ? -1 : 1),
  );
}

/** A report comes again when nobody acknowledged it, or grows while the station runs on. */
function lastOfEach(reports: readonly RanReport[]): RanReport[] {
  const last = new Map<string, RanReport>();
  for (const report of reports) {
    const key = `${report.startMs} ${report.output} ${report.stationId}`;
    // Asked anew for its place, so that the order is that of the last words.
    last.delete(key);
    last.set(key, report);
  }
  return [...last.values()];
}

function distance(report: RanReport, run: Run): number {
  return Math.abs(report.startMs - run.startMs);
}

function actualOf({ output, startMs, runS, flowLPerMin, atMs }: RanReport): ActualRun {
  return { output, startMs, runS, flowLPerMin, atMs };
}
