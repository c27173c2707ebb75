import type { FieldReport } from '../../../adapters/contract.ts';
import { missedRuns, standingRuns } from '../../../adapters/standing-runs.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import { confirmedPlan } from '../../gate/confirmed-plan.ts';
import type { StoredConfirmation } from '../../store/confirmations.ts';
import { covers, type Hold } from '../../store/holds.ts';
import type { OrderState } from '../../store/owed.ts';
import type { RunState } from './day-line-view.ts';

/** A receiver's clock may differ by so much from the plan's. */
const SAME_START_MS = 3 * 60_000;

/** The worst first: a cycle is told by the worst of its runs. */
const ORDER: readonly RunState[] = [
  'rejected',
  'silent',
  'missed',
  'withdrawn',
  'running',
  'sent',
  'planned',
  'accepted',
  'ran',
];

const WORDS: Readonly<Record<RunState, string>> = {
  planned: 'planned, not sent',
  sent: 'sent, no answer yet',
  accepted: 'accepted by the receiver',
  running: 'should run now',
  ran: 'ran, as the receiver reports',
  silent: 'its time is past, nobody has reported that it ran',
  missed: 'missed, not made up for',
  withdrawn: 'withdrawn',
  rejected: 'rejected by the receiver',
};

/** A run's state in words. */
export function sayRunState(state: RunState): string {
  return WORDS[state];
}

/** How far each run of a confirmed plan has come. Pure. */
export function confirmedRunStates(given: {
  confirmation: StoredConfirmation;
  /** Holds that were put on against the confirm. */
  holds: readonly Hold[];
  /** When another plan was confirmed in its place; null: it still stands. */
  replacedMs: number | null;
  /** The state of its delivery at each output. */
  orders: readonly OrderState[];
  reports: readonly FieldReport[];
  nowMs: number;
}): (run: Run) => RunState {
  const { confirmation, holds, replacedMs, orders, reports, nowMs } = given;
  const confirmed = confirmedPlan(confirmation, []);
  const missed = new Set(missedRuns(confirmed).map(keyOf));
  const stands = new Set(standingRuns(confirmed).map(keyOf));
  const delivered = deliveredAs(orders);
  const ran = reports.flatMap((report) => (report.kind === 'ran' ? [report] : []));
  return (run) => {
    const reported = ran.some(
      (one) =>
        one.stationId === run.stationId && Math.abs(one.startMs - run.startMs) <= SAME_START_MS,
    );
    if (reported) return 'ran';
    if (missed.has(keyOf(run)) || !stands.has(keyOf(run))) return 'missed';
    const isHeld = holds.some((hold) => covers(hold, run.bedId) && run.startMs >= hold.atMs);
    if (isHeld || (replacedMs !== null && run.startMs >= replacedMs)) return 'withdrawn';
    if (delivered !== 'accepted') {
      return nowMs > run.startMs && delivered === 'planned' ? 'silent' : delivered;
    }
    if (nowMs < run.startMs) return 'accepted';
    return nowMs < run.startMs + run.runS * 1000 ? 'running' : 'silent';
  };
}

/** Runs of a plan that nobody has confirmed: what has begun is past. */
export function heldRunState(run: Run, nowMs: number): RunState {
  return run.startMs < nowMs ? 'missed' : 'planned';
}

/** A cycle's state: the worst of its runs, so that nothing unproven is hidden by what is well. */
export function cycleState(states: readonly RunState[]): RunState {
  return ORDER.find((state) => states.includes(state)) ?? 'planned';
}

/** One output that has accepted is enough to let it run; a rejection shows while none has. */
function deliveredAs(orders: readonly OrderState[]): 'planned' | 'sent' | 'accepted' | 'rejected' {
  const answers = orders.map((order) => order.lastAnswer);
  if (answers.includes('accepted')) return 'accepted';
  if (answers.includes('rejected')) return 'rejected';
  return answers.includes('unknown') ? 'sent' : 'planned';
}

function keyOf(run: Run): string {
  return `${run.stationId} ${run.startMs}`;
}
