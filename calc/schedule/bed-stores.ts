import type { Stage, StageName } from '../growth/stages.ts';
import { rootedStore, seedLayerStore } from '../sand/bed-store.ts';
import { managedSand, SEED_LAYER_MM } from '../sand/managed-sand.ts';
import { plainStore } from '../sand/plain-store.ts';
import { scaledStore } from '../sand/scaled-store.ts';
import type { SeedbedModel } from '../sand/seedbed-model.ts';
import type { SeedbedStore } from '../sand/seedbed-store.ts';
import type { Bed, BedSand } from './site.ts';

/** Gives the planning model of a sand for a seed layer of this depth. */
export type ModelOf = (sand: BedSand, seedLayerMm: number) => SeedbedModel;

/**
 * The store of each bed, by bed id, for the depth that its stage manages. Seed pressed into dimples
 * lies deeper: the seed layer grows by their depth.
 *
 * @param modelOf The planning model of a sand that has no stated figures; working it out from the
 *   numerical column takes seconds, so the caller keeps it.
 */
export function bedStores(
  beds: readonly Bed[],
  stages: Readonly<Record<StageName, Stage>>,
  modelOf: ModelOf,
): Map<string, SeedbedStore> {
  return new Map(
    beds.map((bed) => [
      bed.id,
      scaledStore(storeOf(bed, stages[bed.stage], modelOf), bed.capacityFraction ?? 1),
    ]),
  );
}

function storeOf(bed: Bed, stage: Stage, modelOf: ModelOf): SeedbedStore {
  const { sand, embeddingMm } = bed;
  const seedLayerMm = SEED_LAYER_MM + embeddingMm;
  const seedLayerRules = stage.managedDepthMm <= SEED_LAYER_MM;
  if (sand.stated !== null) {
    const depthMm = seedLayerRules ? seedLayerMm : stage.managedDepthMm;
    return plainStore(managedSand(sand.stated, depthMm));
  }
  return seedLayerRules
    ? seedLayerStore(modelOf(sand, seedLayerMm), sand.basis, seedLayerMm)
    : rootedStore(modelOf(sand, SEED_LAYER_MM), stage.managedDepthMm);
}
