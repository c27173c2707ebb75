import type { Stage, StageName } from '../growth/stages.ts';
import { rootedStore, seedLayerStore } from '../sand/bed-store.ts';
import { managedSand, SEED_LAYER_MM } from '../sand/managed-sand.ts';
import { plainStore } from '../sand/plain-store.ts';
import type { SeedbedModel } from '../sand/seedbed-model.ts';
import type { SeedbedStore } from '../sand/seedbed-store.ts';
import type { Bed, BedSand } from './site.ts';

/**
 * The store of each bed, by bed id, for the depth that its stage manages.
 *
 * @param modelOf The planning model of a sand that has no stated figures; working it out from the
 *   numerical column takes seconds, so the caller keeps it.
 */
export function bedStores(
  beds: readonly Bed[],
  stages: Readonly<Record<StageName, Stage>>,
  modelOf: (sand: BedSand) => SeedbedModel,
): Map<string, SeedbedStore> {
  return new Map(beds.map((bed) => [bed.id, storeOf(bed.sand, stages[bed.stage], modelOf)]));
}

function storeOf(
  sand: BedSand,
  stage: Stage,
  modelOf: (sand: BedSand) => SeedbedModel,
): SeedbedStore {
  if (sand.stated !== null) return plainStore(managedSand(sand.stated, stage.managedDepthMm));
  const model = modelOf(sand);
  return stage.managedDepthMm <= SEED_LAYER_MM
    ? seedLayerStore(model, sand.basis)
    : rootedStore(model, stage.managedDepthMm);
}
