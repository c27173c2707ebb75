import type { Stage, StageName } from '../growth/stages.ts';
import { bedStore } from '../sand/bed-store.ts';
import { managedSand, SEED_LAYER_MM } from '../sand/managed-sand.ts';
import { plainStore } from '../sand/plain-store.ts';
import { scaledStore } from '../sand/scaled-store.ts';
import type { SeedbedModel } from '../sand/seedbed-model.ts';
import type { SeedbedStore } from '../sand/seedbed-store.ts';
import type { Bed, BedSand } from './site.ts';

/** Gives the models that a sand may have, for a seed layer of this depth; the worst of them rules. */
export type ModelsOf = (sand: BedSand, seedLayerMm: number) => readonly SeedbedModel[];

/**
 * The store of each bed, by bed id, for the depth that its stage manages. Seed pressed into dimples
 * lies deeper: the seed layer grows by their depth.
 *
 * @param modelsOf The models of a sand that has no stated figures; working them out from the numerical
 *   column takes seconds, so the caller keeps them.
 */
export function bedStores(
  beds: readonly Bed[],
  stages: Readonly<Record<StageName, Stage>>,
  modelsOf: ModelsOf,
): Map<string, SeedbedStore> {
  return new Map(
    beds.map((bed) => [
      bed.id,
      scaledStore(storeOf(bed, stages[bed.stage], modelsOf), bed.capacityFraction ?? 1),
    ]),
  );
}

function storeOf(bed: Bed, stage: Stage, modelsOf: ModelsOf): SeedbedStore {
  const { sand, embeddingMm } = bed;
  const seedLayerMm = SEED_LAYER_MM + embeddingMm;
  const seedLayerRules = stage.managedDepthMm <= SEED_LAYER_MM;
  if (sand.stated !== null) {
    const depthMm = seedLayerRules ? seedLayerMm : stage.managedDepthMm;
    return plainStore(managedSand(sand.stated, depthMm));
  }
  return bedStore(modelsOf(sand, seedLayerMm), seedLayerRules ? 0 : stage.managedDepthMm);
}
