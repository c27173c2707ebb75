import type { Run } from '../../../calc/schedule/run.ts';
import type { RunState as FieldState, RunStateName } from '../../field/run-state.ts';
import type { RunState } from './day-line-view.ts';

/** A run's place on the day line, and the same in exact words. */
export interface ToldState {
  state: RunState;
  words: string;
}

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

const TOLD: Readonly<Record<RunStateName, ToldState>> = {
  planned: { state: 'planned', words: 'confirmed, not sent yet' },
  sent: { state: 'sent', words: 'sent, no answer yet' },
  accepted: { state: 'accepted', words: 'accepted by the receiver' },
  rejected: { state: 'rejected', words: 'rejected, so not run' },
  unknown: { state: 'sent', words: 'sent, and nobody can say whether it got there' },
  ran: { state: 'ran', words: 'ran, as the receiver reports' },
  missing: { state: 'silent', words: 'its time is past and the receiver has not reported it' },
  assumed: { state: 'silent', words: 'assumed to have run: nothing reports what ran' },
  withdrawn: { state: 'withdrawn', words: 'withdrawn by a hold' },
  missed: { state: 'missed', words: 'missed, not made up for' },
};

/** How a run of a confirmed plan is told. Pure. */
export function toldState(field: FieldState, nowMs: number): ToldState {
  const { run, state } = field;
  const endMs = run.startMs + run.runS * 1000;
  const isOn = nowMs >= run.startMs && nowMs < endMs;
  if (isOn && (state === 'sent' || state === 'accepted')) {
    return { state: 'running', words: 'should run now' };
  }
  if (state === 'unknown' && nowMs >= endMs) return { ...TOLD.unknown, state: 'silent' };
  return TOLD[state];
}

/** Runs of a plan that nobody has confirmed: what has begun is past. */
export function heldRunState(run: Run, nowMs: number): ToldState {
  return run.startMs < nowMs
    ? { state: 'missed', words: 'missed: its time passed before anyone confirmed it' }
    : { state: 'planned', words: 'planned, held until a person confirms it' };
}

/** A cycle's state: the worst of its runs, so that nothing unproven is hidden by what is well. */
export function cycleState(told: readonly ToldState[]): ToldState {
  for (const state of ORDER) {
    const found = told.find((one) => one.state === state);
    if (found !== undefined) return found;
  }
  return TOLD.planned;
}
