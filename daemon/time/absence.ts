/** Where two clocks stood when the daemon last looked. */
export interface ClockLook {
  /** The wall clock, epoch ms. */
  wallMs: number;
  /** A clock that nobody sets and that stands still while the machine sleeps; null: another life. */
  steadyMs: number | null;
}

/** A time in which the daemon did not look, or that the wall clock went over or through twice. */
export interface Absence {
  kind: 'not_running' | 'asleep_or_set_forward' | 'set_back' | 'busy';
  /** The last look before it and the first after it, by the wall clock; `fromMs` > `toMs` when set back. */
  fromMs: number;
  toMs: number;
}

/** Two looks are a minute apart: this much more is an absence. */
const LEAST_MS = 90_000;
/** The two clocks may drift by so much from one look to the next. */
const DRIFT_MS = 30_000;

/**
 * What lies between two looks, or null when nothing does. A clock change of the summer moves no
 * instant, so it is none. Pure.
 *
 * @param last Null at the very first start.
 */
export function absenceBetween(last: ClockLook | null, now: ClockLook): Absence | null {
  if (last === null) return null;
  const wallMs = now.wallMs - last.wallMs;
  const about = { fromMs: last.wallMs, toMs: now.wallMs };
  if (last.steadyMs === null || now.steadyMs === null) {
    if (wallMs < -DRIFT_MS) return { ...about, kind: 'set_back' };
    return wallMs > LEAST_MS ? { ...about, kind: 'not_running' } : null;
  }
  const jumpMs = wallMs - (now.steadyMs - last.steadyMs);
  if (jumpMs < -DRIFT_MS) return { ...about, kind: 'set_back' };
  if (wallMs <= LEAST_MS) return null;
  return { ...about, kind: jumpMs > DRIFT_MS ? 'asleep_or_set_forward' : 'busy' };
}
