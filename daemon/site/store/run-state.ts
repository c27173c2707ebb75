import type { FieldReport, RunEvent } from '../../../adapters/contract.ts';
import type { Run } from '../../../calc/schedule/run.ts';

/** How far a run has come: a closed list. */
export const RUN_STATES = [
  'planned',
  'sent',
  'accepted',
  'rejected',
  'unknown',
  'ran',
  'missing',
  'assumed',
  'withdrawn',
  'missed',
] as const;

/**
 * `planned`: confirmed and not sent yet. `sent`: every output has taken the plan. `accepted`: the
 * receiver has said so. `rejected`: it was refused. `unknown`: nobody can say whether it got there.
 * `ran`: the receiver has reported it. `missing`: it is over, and a receiver that reports runs has
 * not reported it. `assumed`: it is over, and nothing that it was sent to reports runs.
 * `withdrawn`: a hold took it out. `missed`: its time had passed before it was confirmed or sent.
 */
export type RunStateName = (typeof RUN_STATES)[number];

/** A run as a receiver has reported it. */
export type RanReport = Extract<FieldReport, { kind: 'ran' }>;

/** What the report of a run says of it. */
export interface ActualRun {
  output: string;
  startMs: number;
  runS: number;
  flowLPerMin: number | null;
  /** When the report came. */
  atMs: number;
}

/** A run of a confirmed plan, and what has become of it. */
export interface RunState {
  run: Run;
  siteDay: string;
  revision: number;
  state: RunStateName;
  /** What would be said of it without its report: whether it was to run at all. */
  withoutReport: RunStateName;
  /** From its report; null while there is none. */
  actual: ActualRun | null;
  /** How far it has come on its way to each output. */
  outputs: { output: string; state: RunStateName }[];
}

/** How reports are held against runs. */
export interface FieldRule {
  /** A report may come this long after a run's end, and its start may differ by as much. */
  lateMs: number;
  /** A run may be longer than planned by this. */
  runOverS: number;
  /** Measured flow may differ from the station's by this part of it. */
  flowOffFraction: number;
  /** What a run that is missing, or that ran without flow, brings about. */
  onMissing: 'notice' | 'hold';
  /** What a station that runs on brings about. */
  onStuck: 'notice' | 'hold';
  /** What a station that nobody asked to run brings about: a person may stand beside it. */
  onUnasked: 'notice' | 'hold';
}

export const DEFAULT_FIELD_RULE: FieldRule = {
  lateMs: 10 * 60_000,
  runOverS: 60,
  flowOffFraction: 0.25,
  onMissing: 'notice',
  onStuck: 'hold',
  onUnasked: 'notice',
};

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
