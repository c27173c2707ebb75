import type { StoreState } from '../sand/seedbed-store.ts';
import { type BedMoment, leftFraction } from './expect-look.ts';
import { bandOf, LIGHTENING_FRACTION, type Surface } from './seen.ts';

/** What was seen of a store, by eye or by probe. */
export interface SeenStore {
  surface: Surface | null;
  /** Part of the store that is left by the probe, and its weight against what was expected. */
  probe: { leftFraction: number; weightFraction: number } | null;
}

const HALVINGS = 30;
const LEAST_DEMAND_MM_PER_H = 0.1;

/**
 * A store's state after a look: moved as little as puts it where the bed was seen.
 *
 * A dry surface is dry; a lightening one stands in the middle of its band; a dark one at least at the
 * band's upper end; a puddle is a full store. A probe draws the expectation towards its reading by its
 * weight, and the eye comes after it.
 *
 * @param moment the bed as it was expected at the look
 */
export function correctedState(moment: BedMoment, seen: SeenStore): StoreState {
  let now = moment;
  if (seen.probe !== null) {
    const expected = leftFraction(now);
    const { leftFraction: read, weightFraction } = seen.probe;
    now = { ...now, state: withLeft(now, expected + weightFraction * (read - expected)) };
  }
  if (seen.surface === null) return now.state;
  if (seen.surface === 'puddle') return now.store.full;
  const band = bandOf(seen.surface);
  if (band === null) return now.state;
  const left = leftFraction(now);
  if (left > band.leastFraction && left <= band.mostFraction) return now.state;
  if (seen.surface === 'lightening') return withLeft(now, LIGHTENING_FRACTION / 2);
  return withLeft(now, seen.surface === 'dry' ? 0 : LIGHTENING_FRACTION);
}

/** The state between this one and full, or dry, at which this part is left. */
function withLeft(moment: BedMoment, part: number): StoreState {
  const { store, state, demandMmPerH } = moment;
  const demand = Math.max(LEAST_DEMAND_MM_PER_H, demandMmPerH);
  const goal = Math.min(1, Math.max(0, part));
  const isRise = leftFraction(moment) < goal;
  const end = isRise ? store.full : store.stateAt(0, demand);
  let [near, far] = [0, 1];
  for (let turn = 0; turn < HALVINGS; turn++) {
    const middle = (near + far) / 2;
    const left = leftFraction({ ...moment, state: between(state, end, middle) });
    if (left < goal === isRise) near = middle;
    else far = middle;
  }
  return between(state, end, far);
}

function between(from: StoreState, to: StoreState, part: number): StoreState {
  return Object.fromEntries(
    Object.entries(from).map(([name, mm]) => [name, mm + ((to[name] ?? mm) - mm) * part]),
  );
}
