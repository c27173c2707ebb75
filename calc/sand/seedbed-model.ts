/**
 * The planning model of a seedbed: two stores, the seed layer and the sand just below it. Water
 * falls from each under gravity, steeply faster when wetter; it rises from the lower to the upper
 * by capillarity while the lower is the wetter; the seed layer gives the air what it asks, up to a
 * supply that falls as the layer dries. Plain data: found for each sand from the numerical column.
 */
export interface SeedbedModel {
  /** Thickness of the seed layer and of the sand below it that the model follows. */
  seedLayerMm: number;
  belowLayerMm: number;
  /** Pore water of each layer between residual and full. */
  seedPoreMm: number;
  belowPoreMm: number;
  /** Fall out of each layer with its pores full, and the power of the filled part. */
  seedFallMmPerH: number;
  belowFallMmPerH: number;
  fallPower: number;
  /** Rise from below with its pores full against a dry seed layer, and its power. */
  riseMmPerH: number;
  risePower: number;
  /** What a full seed layer could give to the air, and its power. */
  supplyMmPerH: number;
  supplyPower: number;
  /** Seed-layer water above residual at which the layer counts as dry whatever the demand. */
  limitMm: number;
  /** State half an hour after a thorough wetting, after a night of draining, and at the dry limit. */
  full: SeedbedState;
  drained: SeedbedState;
  dry: SeedbedState;
}

/** Water above residual in the two stores. */
export interface SeedbedState {
  seedMm: number;
  belowMm: number;
}

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
  /** Water that left the lower store downward, out of the seedbed's reach. */
  drainedMm: number;
}

/** Longest step of the implicit rule; longer spells are divided. */
const LONGEST_STEP_H = 1 / 12;
/** The supply must reach this part of the demand, or the surface counts as dry. */
export const WET_SURFACE_FRACTION = 0.95;
const LEAST_FILLED = 1e-9;

/**
 * One spell of the planning model.
 *
 * Implicit (backward Euler) in steps of at most five minutes, two unknowns, Newton's method. Water
 * is conserved to rounding. Every flow rises with the store it leaves and falls with the store it
 * enters, so a higher demand leaves both stores lower at every later moment.
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
  if (!(waterMm >= 0 && demandMm >= 0 && hours > 0 && state.seedMm >= 0 && state.belowMm >= 0)) {
    throw new RangeError(
      `stepSeedbed: water, demand and stores must not be negative and hours above 0 (got ${waterMm}, ${demandMm}, ${state.seedMm}, ${state.belowMm}, ${hours}); count dew as no demand`,
    );
  }
  const steps = Math.ceil(hours / LONGEST_STEP_H - 1e-9);
  const stepH = hours / steps;
  const waterStepMm = waterMm / steps;
  const demandStepMm = demandMm / steps;
  const { seedPoreMm, belowPoreMm, fallPower, risePower, supplyPower } = model;
  // Each flow over one step as factor x filled^power.
  const seedFall = model.seedFallMmPerH * stepH;
  const belowFall = model.belowFallMmPerH * stepH;
  const rise = model.riseMmPerH * stepH;
  const supply = model.supplyMmPerH * stepH;
  let seed = state.seedMm / seedPoreMm;
  let below = state.belowMm / belowPoreMm;
  let evaporatedMm = 0;
  let drainedMm = 0;
  for (let turn = 0; turn < steps; turn++) {
    const seedStartMm = seed * seedPoreMm;
    const belowStartMm = below * belowPoreMm;
    let evaporationMm = 0;
    if (seed < LEAST_FILLED) seed = LEAST_FILLED;
    if (below < LEAST_FILLED) below = LEAST_FILLED;
    for (let iteration = 0; iteration < 40; iteration++) {
      const logSeed = Math.log(seed);
      const logBelow = Math.log(below);
      const fallMm = seedFall * Math.exp(fallPower * logSeed);
      const downMm = rise * Math.exp(risePower * logSeed);
      const upMm = rise * Math.exp(risePower * logBelow);
      const outMm = belowFall * Math.exp(fallPower * logBelow);
      const supplyMm = supply * Math.exp(supplyPower * logSeed);
      let evaporationSlope = 0;
      if (supplyMm < demandStepMm) {
        evaporationMm = supplyMm;
        evaporationSlope = (supplyPower * supplyMm) / seed;
      } else evaporationMm = demandStepMm;
      const passMm = fallMm + downMm - upMm;
      const passBySeed = (fallPower * fallMm + risePower * downMm) / seed;
      const passByBelow = (risePower * upMm) / below;
      const seedGapMm = seedStartMm + waterStepMm - evaporationMm - passMm - seed * seedPoreMm;
      const belowGapMm = belowStartMm + passMm - outMm - below * belowPoreMm;
      if (seedGapMm < 1e-11 && seedGapMm > -1e-11 && belowGapMm < 1e-11 && belowGapMm > -1e-11) {
        break;
      }
      const a = seedPoreMm + evaporationSlope + passBySeed;
      const d = belowPoreMm + passByBelow + (fallPower * outMm) / below;
      const determinant = a * d - passBySeed * passByBelow;
      seed += (seedGapMm * d + belowGapMm * passByBelow) / determinant;
      below += (belowGapMm * a + seedGapMm * passBySeed) / determinant;
      if (seed < LEAST_FILLED) seed = LEAST_FILLED;
      if (below < LEAST_FILLED) below = LEAST_FILLED;
    }
    evaporatedMm += evaporationMm;
    // What is left over closes the balance; it differs from the outflow by the iteration's rounding.
    drainedMm +=
      seedStartMm +
      belowStartMm +
      waterStepMm -
      evaporationMm -
      seed * seedPoreMm -
      below * belowPoreMm;
  }
  return {
    state: { seedMm: seed * seedPoreMm, belowMm: below * belowPoreMm },
    evaporatedMm,
    drainedMm,
  };
}

/** Seed-layer water at which the surface dries at this demand, mm above residual. */
export function dryLimitMm(model: SeedbedModel, demandMmPerH: number): number {
  const part = (WET_SURFACE_FRACTION * demandMmPerH) / model.supplyMmPerH;
  return Math.max(model.limitMm, model.seedPoreMm * part ** (1 / model.supplyPower));
}

/** Seed-layer water above the limit of the moment, mm: 0 or less when the surface is dry. */
export function marginMm(model: SeedbedModel, state: SeedbedState, demandMmPerH: number): number {
  return state.seedMm - dryLimitMm(model, demandMmPerH);
}

/** Whether the seedbed has reached its dry limit at this demand. */
export function isDry(model: SeedbedModel, state: SeedbedState, demandMmPerH: number): boolean {
  return marginMm(model, state, demandMmPerH) <= 0;
}
