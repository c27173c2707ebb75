import type { VanGenuchten } from './hydraulic-properties.ts';

/** One of the model's stores: a layer of sand that is treated as evenly moist. */
export interface SeedbedLayer {
  thicknessMm: number;
  /** Pore water between residual and full. */
  poreMm: number;
  /** Fall under gravity with the pores full, and the power of the filled part. */
  fallMmPerH: number;
  fallPower: number;
  /** Rise into this layer from a full one below it while it is dry, and its power; 0 at the bottom. */
  riseMmPerH: number;
  risePower: number;
}

/**
 * The planning model of a seedbed: the seed layer, the sand just below it, and the root zone. Water
 * falls out of each layer under gravity, steeply faster when wetter; it rises by capillarity into a
 * layer from a wetter one below; the seed layer gives the air what it asks, up to a supply that
 * falls as the layer dries. Plain data, found for each sand from the numerical column.
 */
export interface SeedbedModel {
  seed: SeedbedLayer;
  below: SeedbedLayer;
  root: SeedbedLayer;
  /** What a full seed layer could give to the air, and the power of its filled part. */
  supplyMmPerH: number;
  supplyPower: number;
  /** Seed-layer water above residual at which the layer is dry whatever the demand. */
  limitMm: number;
  /** States half an hour after a thorough wetting, after a night of draining, and at the limit. */
  full: SeedbedState;
  drained: SeedbedState;
  dry: SeedbedState;
}

/** Water above residual in the three stores. */
export interface SeedbedState {
  seedMm: number;
  belowMm: number;
  rootMm: number;
}

/** Part of the demand that the sand must meet for the surface to count as wet. */
export const WET_SURFACE_FRACTION = 0.95;

/** Seed-layer water at which the bed is dry at this demand, mm above residual. */
export function dryLimitMm(model: SeedbedModel, demandMmPerH: number): number {
  const part = (WET_SURFACE_FRACTION * demandMmPerH) / model.supplyMmPerH;
  return Math.max(model.limitMm, model.seed.poreMm * part ** (1 / model.supplyPower));
}

/** Seed-layer water above the limit of the moment, mm: 0 or less when the bed is dry. */
export function marginMm(model: SeedbedModel, state: SeedbedState, demandMmPerH: number): number {
  return state.seedMm - dryLimitMm(model, demandMmPerH);
}

/** Whether the bed has reached its dry limit at this demand. */
export function isDry(model: SeedbedModel, state: SeedbedState, demandMmPerH: number): boolean {
  return marginMm(model, state, demandMmPerH) <= 0;
}

/**
 * Water that the bed can take before more of it only falls through: the seed layer up to its full
 * state, the layer below up to what it holds against gravity overnight.
 */
export function roomMm(model: SeedbedModel, state: SeedbedState): number {
  const seedMm = Math.max(0, model.full.seedMm - state.seedMm);
  const belowMm = Math.max(0, model.drained.belowMm - state.belowMm);
  return seedMm + belowMm;
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
      const flux1 = fall1 + down1 - up1;
      const flux2 = fall2 + down2 - up2;
      const gap1 = have1 - evaporationMm - flux1 - s1 * pore1;
      const gap2 = have2 + flux1 - flux2 - s2 * pore2;
      const gap3 = have3 + flux2 - fall3 - s3 * pore3;
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

/** Order of a layer's and of a state's numbers in a packed model. */
const LAYER = [
  'thicknessMm',
  'poreMm',
  'fallMmPerH',
  'fallPower',
  'riseMmPerH',
  'risePower',
] as const satisfies readonly (keyof SeedbedLayer)[];
const STATE = ['seedMm', 'belowMm', 'rootMm'] as const satisfies readonly (keyof SeedbedState)[];
const SAND = [
  'residualFraction',
  'saturatedFraction',
  'alphaPerCm',
  'n',
  'saturatedMmPerH',
] as const satisfies readonly (keyof VanGenuchten)[];

/** A planning model as a row of numbers, so that many of them can be kept as data. */
export function packedModel(model: SeedbedModel): number[] {
  const { seed, below, root, supplyMmPerH, supplyPower, limitMm, full, drained, dry } = model;
  return [
    ...[seed, below, root].flatMap((layer) => LAYER.map((name) => layer[name])),
    supplyMmPerH,
    supplyPower,
    limitMm,
    ...[full, drained, dry].flatMap((state) => STATE.map((name) => state[name])),
  ];
}

/** @throws RangeError when the row has too few or too many numbers. */
export function unpackedModel(row: readonly number[]): SeedbedModel {
  const length = 3 * LAYER.length + 3 + 3 * STATE.length;
  if (row.length !== length) {
    throw new RangeError(
      `unpackedModel: a model has ${length} numbers (got ${row.length}); generate the data anew`,
    );
  }
  const rest = [...row];
  const take = <Name extends string>(names: readonly Name[]) =>
    Object.fromEntries(names.map((name) => [name, rest.shift()])) as Record<Name, number>;
  const [seed, below, root] = [take(LAYER), take(LAYER), take(LAYER)];
  const supply = take(['supplyMmPerH', 'supplyPower', 'limitMm']);
  const [full, drained, dry] = [take(STATE), take(STATE), take(STATE)];
  return { seed, below, root, ...supply, full, drained, dry };
}

/** A sand's curve as a row of numbers. */
export function packedSand(sand: VanGenuchten): number[] {
  return SAND.map((name) => sand[name]);
}

export function unpackedSand(row: readonly number[]): VanGenuchten {
  const entries = SAND.map((name, index) => [name, row[index]]);
  return Object.fromEntries(entries) as Record<(typeof SAND)[number], number>;
}
