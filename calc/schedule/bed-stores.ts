import type { Stage, StageName } from '../growth/stages.ts';
import { managedSand } from '../sand/managed-sand.ts';
import { plainStore } from '../sand/plain-store.ts';
import type { SeedbedStore } from '../sand/seedbed-store.ts';
import type { Bed } from './site.ts';

/** The store of each bed, by bed id, for the depth that its stage manages. */
export function bedStores(
  beds: readonly Bed[],
  stages: Readonly<Record<StageName, Stage>>,
): Map<string, SeedbedStore> {
  return new Map(
    beds.map((bed) => [
      bed.id,
      plainStore(managedSand(bed.sand, stages[bed.stage].managedDepthMm)),
    ]),
  );
}
