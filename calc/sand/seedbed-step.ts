import type { SeedbedModel, SeedbedState } from './seedbed-model.ts';

/** Water and demand over a short while. */
export interface SeedbedSpell {
  /** Water that reaches the sand, mm over the spell. */
  waterMm: number;
  /** What wet sand would lose, mm over the spell, not below 0. */
  demandMm: number;
  hours: number;
}

export interface SeedbedChange {
  state: SeedbedState;
  evaporatedMm: number;
  /** Water that left the root zone downward. */
  drainedMm: number;
}

/** Longest step of the implicit rule; longer spells are divided. */
const LONGEST_STEP_H = 1 / 12;
const LEAST_FILLED = 1e-9;
const CLOSE_ENOUGH_MM = 1e-10;
/** Newton's method doubles its digits: after a change this small, of a layer's water, nothing is left to do. */
const NO_MORE_STRIDE = 1e-6;
/** Most that one iteration may fill a layer: a cloudburst on dry sand overshoots otherwise. */
const LONGEST_STRIDE = 0.5;

/**
 * One spell of the planning model.
 *
 * Implicit (backward Euler) in steps of at most five minutes; three unknowns by Newton's method, one
 * tridiagonal solution an iteration. Water is conserved to rounding. Every flow grows with the store
 * it leaves and shrinks with the store it enters, so a higher demand leaves every store lower at
 * every later moment.
 *
 * @param model a model from `deriveSeedbedModel`
 * @param state water above residual, mm, not below 0
 * @param spell water and demand in mm over `hours` (above 0)
 * @throws RangeError on a negative or missing number
 */
export function stepSeedbed(
  model: SeedbedModel,
  state: SeedbedState,
  spell: SeedbedSpell,
): SeedbedChange {
  const { waterMm, demandMm, hours } = spell;
  const { seedMm, belowMm, rootMm } = state;
  if (!(waterMm >= 0 && demandMm >= 0 && hours > 0 && seedMm >= 0 && belowMm >= 0 && rootMm >= 0)) {
    throw new RangeError(
      `stepSeedbed: water, demand and stores must not be negative and hours above 0 (got ${waterMm}, ${demandMm}, ${seedMm}/${belowMm}/${rootMm}, ${hours}); count dew as no demand`,
    );
  }
  const steps = Math.max(1, Math.ceil(hours / LONGEST_STEP_H - 1e-9));
  const stepH = hours / steps;
  const waterStepMm = waterMm / steps;
  const demandStepMm = demandMm / steps;
  const { seed, below, root, supplyPower } = model;
  const [pore1, pore2, pore3] = [seed.poreMm, below.poreMm, root.poreMm];
  const [fallPower1, fallPower2, fallPower3] = [seed.fallPower, below.fallPower, root.fallPower];
  const [risePower1, risePower2] = [seed.risePower, below.risePower];
  const fullFall1 = seed.fallMmPerH * stepH;
  const fullFall2 = below.fallMmPerH * stepH;
  const fullFall3 = root.fallMmPerH * stepH;
  const fullRise1 = seed.riseMmPerH * stepH;
  const fullRise2 = below.riseMmPerH * stepH;
  const fullSupply = model.supplyMmPerH * stepH;
  // Filled part of each layer.
  let s1 = seedMm / pore1;
  let s2 = belowMm / pore2;
  let s3 = rootMm / pore3;
  let evaporatedMm = 0;
  let drainedMm = 0;
  for (let turn = 0; turn < steps; turn++) {
    const have1 = s1 * pore1 + waterStepMm;
    const have2 = s2 * pore2;
    const have3 = s3 * pore3;
    let evaporationMm = 0;
    if (s1 < LEAST_FILLED) s1 = LEAST_FILLED;
    if (s2 < LEAST_FILLED) s2 = LEAST_FILLED;
    if (s3 < LEAST_FILLED) s3 = LEAST_FILLED;
    // The demand is met, or it is not: one of the two gives a state that agrees with itself. Which is
    // guessed and checked at the end, because Newton's method can cycle about the corner between.
    let limited = fullSupply * Math.exp(supplyPower * Math.log(s1)) < demandStepMm;
    let checked = false;
    for (let iteration = 0; iteration < 80; iteration++) {
      const log1 = Math.log(s1);
      const log2 = Math.log(s2);
      const fall1 = fullFall1 * Math.exp(fallPower1 * log1);
      const fall2 = fullFall2 * Math.exp(fallPower2 * log2);
      const fall3 = fullFall3 * Math.exp(fallPower3 * Math.log(s3));
      const down1 = fullRise1 * Math.exp(risePower1 * log1);
      const up1 = fullRise1 * Math.exp(risePower1 * log2);
      const down2 = fullRise2 * Math.exp(risePower2 * log2);
      const up2 = fullRise2 * Math.exp(risePower2 * Math.log(s3));
      const supply = fullSupply * Math.exp(supplyPower * log1);
      evaporationMm = limited ? supply : demandStepMm;
      const evaporationSlope = limited ? (supplyPower * supply) / s1 : 0;
      const pass1 = fall1 + down1 - up1;
      const pass2 = fall2 + down2 - up2;
      const gap1 = have1 - evaporationMm - pass1 - s1 * pore1;
      const gap2 = have2 + pass1 - pass2 - s2 * pore2;
      const gap3 = have3 + pass2 - fall3 - s3 * pore3;
      if (
        Math.abs(gap1) < CLOSE_ENOUGH_MM &&
        Math.abs(gap2) < CLOSE_ENOUGH_MM &&
        Math.abs(gap3) < CLOSE_ENOUGH_MM
      ) {
        if (checked || limited === supply < demandStepMm) break;
        limited = !limited;
        checked = true;
        continue;
      }
      // Slopes of the flows between layers by the store above and by the store below.
      const by11 = (fallPower1 * fall1 + risePower1 * down1) / s1;
      const by12 = (risePower1 * up1) / s2;
      const by22 = (fallPower2 * fall2 + risePower2 * down2) / s2;
      const by23 = (risePower2 * up2) / s3;
      const by33 = (fallPower3 * fall3) / s3;
      const pivot1 = pore1 + evaporationSlope + by11;
      const factor1 = by11 / pivot1;
      const pivot2 = pore2 + by12 + by22 - factor1 * by12;
      const right2 = gap2 + factor1 * gap1;
      const factor2 = by22 / pivot2;
      const pivot3 = pore3 + by23 + by33 - factor2 * by23;
      const change3 = (gap3 + factor2 * right2) / pivot3;
      const change2 = (right2 + by23 * change3) / pivot2;
      const change1 = (gap1 + by12 * change2) / pivot1;
      if (!limited && s1 + change1 < LEAST_FILLED) limited = true;
      const isLast =
        (checked || limited === supply < demandStepMm) &&
        Math.abs(change1) < NO_MORE_STRIDE * s1 &&
        Math.abs(change2) < NO_MORE_STRIDE * s2 &&
        Math.abs(change3) < NO_MORE_STRIDE * s3;
      s1 = Math.max(s1 + Math.min(change1, LONGEST_STRIDE), s1 / 8);
      s2 = Math.max(s2 + Math.min(change2, LONGEST_STRIDE), s2 / 8);
      s3 = Math.max(s3 + Math.min(change3, LONGEST_STRIDE), s3 / 8);
      if (isLast) {
        evaporationMm += evaporationSlope * change1;
        break;
      }
    }
    if (evaporationMm > demandStepMm) evaporationMm = demandStepMm;
    evaporatedMm += evaporationMm;
    // The remainder closes the balance: it is the fall out of the root zone but for the last rounding.
    drainedMm += have1 + have2 + have3 - evaporationMm - s1 * pore1 - s2 * pore2 - s3 * pore3;
  }
  return {
    state: { seedMm: s1 * pore1, belowMm: s2 * pore2, rootMm: s3 * pore3 },
    evaporatedMm,
    drainedMm,
  };
}
