import { modelStore } from './model-store.ts';
import { plainStore } from './plain-store.ts';
import { dryLimitMm, type SeedbedModel, type SeedbedState } from './seedbed-model.ts';
import type { SandBasis, SeedbedStore } from './seedbed-store.ts';

/** Demand of a hot midday, at which an assumed seed layer's own water is counted, mm/h. */
const HOT_DEMAND_MM_PER_H = 0.5;
/** Part of the rooted layer's drained water that may be used: half-way to residual. */
const USABLE_FRACTION = 0.5;

/**
 * The store of a bed while the seed layer rules.
 *
 * Of a sand with its own report the whole model counts, with what rises from below. Of an assumed
 * sand only the water of the seed layer itself counts: what a gravel bed can bring up differs by a
 * factor of a hundred between sands that look alike, and a guess of it could cost the stand.
 *
 * @param seedLayerMm Depth that the seed lies in. Of an assumed sand the water grows with it; a
 *   reported sand's model must have been worked out for it.
 */
export function seedLayerStore(
  model: SeedbedModel,
  basis: SandBasis,
  seedLayerMm: number = model.seed.thicknessMm,
): SeedbedStore {
  if (basis === 'lab_report') return modelStore(model);
  const capacityMm = model.full.seedMm - dryLimitMm(model, HOT_DEMAND_MM_PER_H);
  const layers = seedLayerMm / model.seed.thicknessMm;
  return plainStore({ capacityMm: capacityMm * layers, feedMmPerH: 0 });
}

/**
 * The store of a bed whose roots reach down to a depth: half of what the layer holds above residual
 * after a night of draining. Roots take it from all of the layer, so the surface no longer rules.
 *
 * @param depthMm Depth that the stage manages, above 0, at most that of the sand.
 */
export function rootedStore(model: SeedbedModel, depthMm: number): SeedbedStore {
  const capacityMm = USABLE_FRACTION * waterToMm(model, model.drained, depthMm);
  return plainStore({ capacityMm, feedMmPerH: 0 });
}

/** Water above residual from the surface down to a depth, mm, each layer taken as evenly moist. */
function waterToMm(model: SeedbedModel, state: SeedbedState, depthMm: number): number {
  const layers = [
    { thicknessMm: model.seed.thicknessMm, waterMm: state.seedMm },
    { thicknessMm: model.below.thicknessMm, waterMm: state.belowMm },
    { thicknessMm: model.root.thicknessMm, waterMm: state.rootMm },
  ];
  let leftMm = depthMm;
  let waterMm = 0;
  for (const layer of layers) {
    const takenMm = Math.min(leftMm, layer.thicknessMm);
    waterMm += (layer.waterMm * takenMm) / layer.thicknessMm;
    leftMm -= takenMm;
  }
  return waterMm;
}
