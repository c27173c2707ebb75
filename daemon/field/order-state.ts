import type { RunEvent } from '../../adapters/contract.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { RunStateName } from './run-state.ts';

/** What is known of a confirmed plan's way to one output. */
export interface OrderFacts {
  output: string;
  /** When the output first took it; null: not yet. */
  sentMs: number | null;
  /** When it was first tried, whatever came of it. */
  triedMs: number | null;
  /** When the output, or what stands behind it, refused it for good. */
  rejectedMs: number | null;
  /** What the receiver said last; null while it is silent. */
  receipt: { answer: 'accepted' | 'rejected' | 'unknown'; atMs: number } | null;
  /** Of an output that sends run by run: what became of each, by `runKey`; left out: none yet. */
  runs?: ReadonlyMap<string, RunEvent['what']>;
}

/** A run's name in what an output remembers of it, to the second. */
export function runKey(stationId: string, startMs: number): string {
  return `${stationId} ${Math.floor(startMs / 1000)}`;
}

const SENT_AS: Readonly<Record<Exclude<RunEvent['what'], 'claimed'>, RunStateName>> = {
  missed: 'missed',
  accepted: 'sent',
  rejected: 'rejected',
  unknown: 'unknown',
};

/** How far a run has come on its way to one output by now. Pure. */
export function orderState(
  order: OrderFacts,
  { stationId, startMs }: Pick<Run, 'stationId' | 'startMs'>,
  nowMs: number,
): RunStateName {
  const { sentMs, triedMs, rejectedMs, receipt } = order;
  const event = order.runs?.get(runKey(stationId, startMs));
  // Claimed and nothing after it: the sending was cut off, and nobody knows where.
  if (event !== undefined) return event === 'claimed' ? 'unknown' : SENT_AS[event];
  if (receipt?.answer === 'rejected') return 'rejected';
  if (receipt?.answer === 'accepted') return 'accepted';
  if (sentMs !== null) {
    if (sentMs <= startMs) return receipt?.answer === 'unknown' ? 'unknown' : 'sent';
    // The first try may have got there though nobody acknowledged it.
    return triedMs !== null && triedMs <= startMs ? 'unknown' : 'missed';
  }
  if (rejectedMs !== null) return 'rejected';
  if (triedMs !== null && triedMs <= startMs) return 'unknown';
  if (nowMs >= startMs) return 'missed';
  return triedMs === null ? 'planned' : 'unknown';
}

/**
 * One word for all outputs. A receiver that says it has the plan outweighs the rest; otherwise the
 * output that is worst off speaks, so that what is not certain stays marked. Without any output the
 * plan is on paper, and a person runs it. Pure.
 */
export function worstState(states: readonly RunStateName[]): RunStateName {
  const order: readonly RunStateName[] = [
    'accepted',
    'rejected',
    'unknown',
    'missed',
    'planned',
    'sent',
  ];
  return order.find((state) => states.includes(state)) ?? 'sent';
}
