import type { FieldReport } from '../../adapters/contract.ts';
import type { Run } from '../../calc/schedule/run.ts';

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
