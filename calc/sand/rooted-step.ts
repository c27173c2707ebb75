import { type RootReach, withinReach } from './root-reach.ts';
import { type SeedbedModel, type SeedbedState, WET_SURFACE_FRACTION } from './seedbed-model.ts';
import { type SeedbedChange, type SeedbedSpell, stepSeedbed } from './seedbed-step.ts';

/** Uptake is taken off after each step of the flows: no step is longer than this. */
const LONGEST_STEP_H = 1 / 12;

/**
 * One spell of a bed with roots: the seedbed's own step, and what the surface can no longer give to
 * the air is drawn by roots from the layers that they reach, the upper one first. While the surface
 * counts as wet nothing is drawn, so a bed with roots and one without are the same until then.
 *
 * @param reach see `rootReach`
 * @returns `evaporatedMm` with what went through the plants; water is conserved to rounding
 * @throws RangeError on a negative or missing number
 */
export function stepRooted(
  model: SeedbedModel,
  reach: RootReach,
  { state, spell }: { state: SeedbedState; spell: SeedbedSpell },
): SeedbedChange {
  const steps = Math.max(1, Math.ceil(spell.hours / LONGEST_STEP_H - 1e-9));
  const part = {
    waterMm: spell.waterMm / steps,
    demandMm: spell.demandMm / steps,
    hours: spell.hours / steps,
  };
  let now = state;
  let evaporatedMm = 0;
  let drainedMm = 0;
  for (let step = 0; step < steps; step++) {
    const change = stepSeedbed(model, now, part);
    now = change.state;
    evaporatedMm += change.evaporatedMm;
    drainedMm += change.drainedMm;
    const lackMm = part.demandMm - change.evaporatedMm;
    if (lackMm <= (1 - WET_SURFACE_FRACTION) * part.demandMm) continue;
    const reached = withinReach(model, reach, now);
    const seedMm = Math.min(lackMm, reached.seedMm);
    const belowMm = Math.min(lackMm - seedMm, reached.belowMm);
    const rootMm = Math.min(lackMm - seedMm - belowMm, reached.rootMm);
    evaporatedMm += seedMm + belowMm + rootMm;
    now = {
      seedMm: now.seedMm - seedMm,
      belowMm: now.belowMm - belowMm,
      rootMm: now.rootMm - rootMm,
    };
  }
  return { state: now, evaporatedMm, drainedMm };
}
