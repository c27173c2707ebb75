import { at, entryOf } from '../checked-entry.ts';
import type { VanGenuchten } from './hydraulic-properties.ts';
import { exactFlows } from './store-flows.ts';
import { DRAINED, EVAPORATED, SUMS, stepRow } from './store-step.ts';

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

/**
 * Seed-layer water at which the bed is dry at this demand, mm above residual: where the supply E s1^g
 * falls to the part of the demand that keeps the surface wet, and never below the limit.
 */
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

/** Newton's method doubles its digits: after a change this small, of a layer's water, nothing is left to do. */
const NO_MORE_FRACTION = 1e-6;

/**
 * One spell of the planning model: three stores, each evenly moist. With `s[j]` the filled part of a
 * store's pores (effective saturation Se, 0 to 1), P[j] its pore water (mm), and the store 1 the seed
 * layer, 2 the layer below it, 3 the root zone,
 *
 *     P1 ds1/dt = water - e  - q1                     e  = min(demand, E s1^g)
 *     P2 ds2/dt = q1 - q2                             q1 = F1 s1^a1 + R1 (s1^b1 - s2^b1)
 *     P3 ds3/dt = q2 - q3                             q2 = F2 s2^a2 + R2 (s2^b2 - s3^b2)
 *                                                     q3 = F3 s3^a3
 *
 * with F the fall under gravity with the pores full (`fallMmPerH`), R the capillary rise out of a full
 * store into a dry one above (`riseMmPerH`), E the supply of a full seed layer to the air
 * (`supplyMmPerH`), and a, b, g their powers. The power of a fall is that of K(Se) in a sand (Mualem:
 * l + 2/m far from saturation); the form is this project's own.
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
  const row = Float64Array.of(seedMm, belowMm, rootMm);
  const sums = new Float64Array(SUMS);
  const rule = { flowsOf: exactFlows(model), noMoreFraction: NO_MORE_FRACTION };
  stepRow(poresOf(model), rule, row, { from: 0, to: 0 }, spell, sums);
  return {
    state: { seedMm: at(row, 0), belowMm: at(row, 1), rootMm: at(row, 2) },
    evaporatedMm: at(sums, EVAPORATED),
    drainedMm: at(sums, DRAINED),
  };
}

/** Pore water of the three stores, mm. */
export function poresOf({ seed, below, root }: SeedbedModel): [number, number, number] {
  return [seed.poreMm, below.poreMm, root.poreMm];
}

/** Numbers of a packed layer, of the supply and the limit, and of a packed state. */
const PACKED_LENGTH = 3 * 6 + 3 + 3 * 3;

/** A planning model as a row of numbers, so that many of them can be kept as data. */
export function packedModel(model: SeedbedModel): number[] {
  const { seed, below, root, supplyMmPerH, supplyPower, limitMm, full, drained, dry } = model;
  return [
    ...[seed, below, root].flatMap((layer) => [
      layer.thicknessMm,
      layer.poreMm,
      layer.fallMmPerH,
      layer.fallPower,
      layer.riseMmPerH,
      layer.risePower,
    ]),
    supplyMmPerH,
    supplyPower,
    limitMm,
    ...[full, drained, dry].flatMap((state) => [state.seedMm, state.belowMm, state.rootMm]),
  ];
}

/** @throws RangeError when the row has too few or too many numbers. */
export function unpackedModel(row: readonly number[]): SeedbedModel {
  if (row.length !== PACKED_LENGTH) {
    throw new RangeError(
      `unpackedModel: a model has ${PACKED_LENGTH} numbers (got ${row.length}); generate the data anew`,
    );
  }
  let next = 0;
  const take = () => entryOf(row, next++);
  const layer = (): SeedbedLayer => ({
    thicknessMm: take(),
    poreMm: take(),
    fallMmPerH: take(),
    fallPower: take(),
    riseMmPerH: take(),
    risePower: take(),
  });
  const state = (): SeedbedState => ({ seedMm: take(), belowMm: take(), rootMm: take() });
  // Read in the order in which `packedModel` writes.
  return {
    seed: layer(),
    below: layer(),
    root: layer(),
    supplyMmPerH: take(),
    supplyPower: take(),
    limitMm: take(),
    full: state(),
    drained: state(),
    dry: state(),
  };
}

/** A sand as a row of numbers. */
export function packedSand(sand: VanGenuchten): number[] {
  const { residualFraction, saturatedFraction, alphaPerCm, n, saturatedMmPerH } = sand;
  const { wettingAlphaFactor = 1, filmFraction = 0 } = sand;
  return [
    residualFraction,
    saturatedFraction,
    alphaPerCm,
    n,
    saturatedMmPerH,
    wettingAlphaFactor,
    filmFraction,
  ];
}

export function unpackedSand(row: readonly number[]): VanGenuchten {
  return {
    residualFraction: entryOf(row, 0),
    saturatedFraction: entryOf(row, 1),
    alphaPerCm: entryOf(row, 2),
    n: entryOf(row, 3),
    saturatedMmPerH: entryOf(row, 4),
    wettingAlphaFactor: entryOf(row, 5),
    filmFraction: entryOf(row, 6),
  };
}
