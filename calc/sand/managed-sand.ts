import type { PlainStoreFigures } from './plain-store.ts';

/** Depth of the seed layer that a sand's capacity is given for. */
export const SEED_LAYER_MM = 8;

/**
 * The store of a deeper layer of the same sand: capacity in proportion to depth.
 *
 * Roots that reach deeper can use what the deeper layer holds; the sand is taken as uniform over
 * the depth, which holds for one mix above the water that perches over gravel.
 *
 * @param managedDepthMm Depth that the stage manages, mm, at least that of the seed layer.
 */
export function managedSand(sand: PlainStoreFigures, managedDepthMm: number): PlainStoreFigures {
  const layers = Math.max(1, managedDepthMm / SEED_LAYER_MM);
  return { capacityMm: sand.capacityMm * layers, feedMmPerH: sand.feedMmPerH };
}
