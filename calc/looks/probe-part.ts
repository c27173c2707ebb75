import { USABLE_FRACTION } from '../sand/root-reach.ts';
import type { SeedbedModel } from '../sand/seedbed-model.ts';
import type { Sight } from './doubtful-look.ts';
import { lostLogOf } from './expect-look.ts';

/** Spread of what a probe's reading says of the store, and its weight in the state of the moment. */
interface ProbeTrust {
  spreadFraction: number;
  weightFraction: number;
}

/** Before emergence the eye outranks the probe: its rods are longer than the seed layer is deep. */
const BEFORE_EMERGENCE: ProbeTrust = { spreadFraction: 0.6, weightFraction: 0.15 };
const AFTER_EMERGENCE: ProbeTrust = { spreadFraction: 0.25, weightFraction: 0.6 };

export function probeTrust(beforeEmergence: boolean): ProbeTrust {
  return beforeEmergence ? BEFORE_EMERGENCE : AFTER_EMERGENCE;
}

/**
 * Part of the store that is left by a probe's reading, by what the sand holds at that depth after a
 * night of draining and at its dry limit. Null beyond the sand's depth.
 *
 * @param input.contentFraction volume of water in a volume of sand, 0 to 1
 * @param input.depthMm depth of the reading
 * @param input.residualFraction what suction cannot take out of this sand
 * @param input.isRooted true where roots take from all of the layer
 * @throws RangeError when the content lies outside 0 to 1 or the depth is not above 0
 */
export function probePart(input: {
  model: SeedbedModel;
  contentFraction: number;
  depthMm: number;
  residualFraction: number;
  isRooted: boolean;
}): number | null {
  const { model, contentFraction, depthMm, residualFraction, isRooted } = input;
  if (!(contentFraction >= 0 && contentFraction <= 1 && depthMm > 0)) {
    throw new RangeError(
      `probePart: the content must lie from 0 to 1 and the depth above 0 mm (got ${contentFraction}, ${depthMm}); give volumes of water in volumes of sand`,
    );
  }
  const layers = [
    { layer: model.seed, held: model.drained.seedMm, dry: model.dry.seedMm },
    { layer: model.below, held: model.drained.belowMm, dry: model.dry.belowMm },
    { layer: model.root, held: model.drained.rootMm, dry: model.dry.rootMm },
  ];
  let bottomMm = 0;
  for (const { layer, held, dry } of layers) {
    bottomMm += layer.thicknessMm;
    if (depthMm > bottomMm) continue;
    const limitMm = isRooted ? (1 - USABLE_FRACTION) * held : dry;
    const readMm = (contentFraction - residualFraction) * layer.thicknessMm;
    const part = (readMm - limitMm) / Math.max(1e-9, held - limitMm);
    return Math.min(1.5, Math.max(-0.5, part));
  }
  return null;
}

/** The reading as the estimator takes it. */
export function probeSight(leftFraction: number, beforeEmergence: boolean): Sight {
  const lost = Math.max(0.2, 1 - leftFraction);
  return {
    kind: 'reading',
    meanLog: lostLogOf(leftFraction),
    spreadLog: probeTrust(beforeEmergence).spreadFraction / lost,
  };
}
