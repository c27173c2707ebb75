import type { StoreState } from '../sand/seedbed-store.ts';
import { type BedMoment, leftFraction } from './expect-look.ts';
import { bandOf, type Surface } from './seen.ts';

/** What was seen of a store, by eye or by probe. */
export interface SeenStore {
  surface: Surface | null;
  /** Part of the store that is left by the probe, and its weight against what was expected. */
  probe: { leftFraction: number; weightFraction: number } | null;
}

const HALVINGS = 30;
const LEAST_DEMAND_MM_PER_H = 0.1;

/**
 * A store's state after a look: lowered as far as any eye may have meant, raised no further than every
 * eye is sure of. Water that is not there dries seed; water given once too often does not.
 *
 * A dry surface is dry, and a lightening one may be on the point of it: both are taken for dry. A
 * dark one, or a puddle, holds at least what the lowest eye calls dark. A probe, one spot of the bed,
 * draws the expectation down towards its reading by its weight, and never up; the eye comes after it.
 *
 * @param moment the bed as it was expected at the look
 */
export function correctedState(moment: BedMoment, seen: SeenStore): StoreState {
  let now = moment;
  if (seen.probe !== null) {
    const expected = leftFraction(now);
    const { leftFraction: read, weightFraction } = seen.probe;
    const drawn = expected + weightFraction * Math.min(0, read - expected);
    now = { ...now, state: withLeft(now, drawn) };
  }
  const band = seen.surface === null ? null : bandOf(seen.surface);
  if (band === null) return now.state;
  const mostFraction = seen.surface === 'lightening' ? 0 : band.mostFraction;
  return withLeft(now, Math.min(mostFraction, Math.max(band.leastFraction, leftFraction(now))));
}

/** The state between this one and full, or dry, at which this part is left. */
function withLeft(moment: BedMoment, part: number): StoreState {
  const { store, state, demandMmPerH } = moment;
  const demand = Math.max(LEAST_DEMAND_MM_PER_H, demandMmPerH);
  const left = leftFraction(moment);
  if (part === left) return state;
  const isRise = left < part;
  // No layer goes the other way: a dry bed whose sand below is drier yet gains nothing there.
  const goal = isRise ? store.full : store.driedThrough(demand);
  const further = isRise ? Math.max : Math.min;
  const end = Object.fromEntries(
    Object.entries(state).map(([name, mm]) => [name, further(mm, goal[name] ?? mm)]),
  );
  let [near, far] = [0, 1];
  for (let turn = 0; turn < HALVINGS; turn++) {
    const middle = (near + far) / 2;
    const now = leftFraction({ ...moment, state: between(state, end, middle) });
    if (now < part === isRise) near = middle;
    else far = middle;
  }
  return between(state, end, far);
}

function between(from: StoreState, to: StoreState, part: number): StoreState {
  return Object.fromEntries(
    Object.entries(from).map(([name, mm]) => [name, mm + ((to[name] ?? mm) - mm) * part]),
  );
}
