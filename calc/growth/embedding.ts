/** Dimples of this depth and deeper keep their seed cooler by the whole allowance (1/4 inch). */
const WHOLE_ALLOWANCE_MM = 6.35;
const ALLOWANCE_C = 1.5;

/**
 * By how much seed in pressed dimples lies cooler than an even surface, °C.
 *
 * Common practice, no source: dimples of 1/4 to 3/8 inch stay 1 to 2 °C cooler. A stated allowance,
 * its middle, shallower dimples in proportion; the physics of a shaded hollow is not worked out.
 *
 * @param embeddingMm Depth of the dimples, from 0 mm.
 * @throws RangeError when it is negative or no number.
 * @example embeddedCoolerC(8); // 1.5
 */
export function embeddedCoolerC(embeddingMm: number): number {
  if (!(embeddingMm >= 0)) {
    throw new RangeError(
      `embeddedCoolerC: depth must not be negative (got ${embeddingMm}); give 0 for an even surface`,
    );
  }
  return ALLOWANCE_C * Math.min(1, embeddingMm / WHOLE_ALLOWANCE_MM);
}
