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
