import type { SeedbedLayer, SeedbedModel, SeedbedState } from './seedbed-model.ts';

/** Part of each layer's drained water that roots may use: half-way to residual. Common practice. */
export const USABLE_FRACTION = 0.5;

/** How much of the two layers under the seed layer roots reach, parts of 1. */
export interface RootReach {
  belowFraction: number;
  rootFraction: number;
}

/** What roots down to a depth reach of a bed's layers, the seed layer wholly. */
export function rootReach(model: SeedbedModel, depthMm: number): RootReach {
  const part = (topMm: number, { thicknessMm }: SeedbedLayer) =>
    Math.min(1, Math.max(0, (depthMm - topMm) / thicknessMm));
  const belowTopMm = model.seed.thicknessMm;
  return {
    belowFraction: part(belowTopMm, model.below),
    rootFraction: part(belowTopMm + model.below.thicknessMm, model.root),
  };
}

/** Water at which roots have used up what they reach of each layer, mm above residual. */
export function usedUp(model: SeedbedModel, reach: RootReach): SeedbedState {
  return {
    seedMm: model.limitMm,
    belowMm: model.drained.belowMm * (1 - USABLE_FRACTION * reach.belowFraction),
    rootMm: model.drained.rootMm * (1 - USABLE_FRACTION * reach.rootFraction),
  };
}

/**
 * Water that roots can still take from each layer, mm: at least 0. Above the drained state a layer's
 * surplus counts as far as it is reached. Deeper roots never have less.
 */
export function withinReach(
  model: SeedbedModel,
  reach: RootReach,
  state: SeedbedState,
): SeedbedState {
  const limit = usedUp(model, reach);
  const of = (waterMm: number, drainedMm: number, limitMm: number, part: number) =>
    Math.max(0, Math.min(waterMm, drainedMm) - limitMm) + part * Math.max(0, waterMm - drainedMm);
  return {
    seedMm: Math.max(0, state.seedMm - limit.seedMm),
    belowMm: of(state.belowMm, model.drained.belowMm, limit.belowMm, reach.belowFraction),
    rootMm: of(state.rootMm, model.drained.rootMm, limit.rootMm, reach.rootFraction),
  };
}

/**
 * Water above the dry limit of a bed with roots, mm. It is moist while any layer that roots reach
 * holds more than half of its drained water, and so at least as long as its surface is wet. Once none
 * does, it is as dry as the layer that is nearest to its limit.
 */
export function rootedMarginMm(model: SeedbedModel, reach: RootReach, state: SeedbedState): number {
  const { seedMm, belowMm, rootMm } = withinReach(model, reach, state);
  const leftMm = seedMm + belowMm + rootMm;
  if (leftMm > 0) return leftMm;
  const limit = usedUp(model, reach);
  return Math.max(
    state.seedMm - limit.seedMm,
    reach.belowFraction > 0 ? state.belowMm - limit.belowMm : Number.NEGATIVE_INFINITY,
    reach.rootFraction > 0 ? state.rootMm - limit.rootMm : Number.NEGATIVE_INFINITY,
  );
}
