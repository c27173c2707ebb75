import { modelStore } from './model-store.ts';
import type { SeedbedModel } from './seedbed-model.ts';
import type { SeedbedStore } from './seedbed-store.ts';
import { severalStores } from './several-stores.ts';

/**
 * The store of a bed by the models that its sand may have: the bed is taken for the worst of them at
 * each moment. One model when the sand is known.
 *
 * @param rootsMm Depth that roots reach, mm; 0: only the surface counts.
 * @throws RangeError when there is no model.
 */
export function bedStore(models: readonly SeedbedModel[], rootsMm = 0): SeedbedStore {
  return severalStores(models.map((model) => modelStore(model, rootsMm)));
}
