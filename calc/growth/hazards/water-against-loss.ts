import { requireNumbers } from '../../sprinkler/require-number.ts';
import type { Notice } from '../notice.ts';

/** Percentages of the loss between which a day's water is well judged. */
export const WATER_LIMITS = { littlePct: 85, muchPct: 130, farTooMuchPct: 200 } as const;

/**
 * A day's water against the bed's loss: too little, too much, or null.
 *
 * Rain counts only up to what the seedbed could hold of it: the caller gives that part. Without loss
 * any water is too much, and none is right.
 *
 * @param asked net water, counted rain and loss, each at least 0 mm; the stretch that they cover;
 *   limits in rising order, %.
 * @throws RangeError when an input is outside its range.
 * Source: common practice; the limits are assumptions to edit.
 */
export function waterAgainstLossNotice(asked: {
  netMm: number;
  countedRainMm: number;
  lossMm: number;
  fromMs: number;
  toMs: number;
  limits?: { littlePct: number; muchPct: number; farTooMuchPct: number };
}): Notice | null {
  const { netMm, countedRainMm, lossMm, fromMs, toMs, limits = WATER_LIMITS } = asked;
  const { littlePct, muchPct, farTooMuchPct } = limits;
  requireNumbers('waterAgainstLossNotice', {
    netMm: [netMm, { atLeast: 0 }],
    countedRainMm: [countedRainMm, { atLeast: 0 }],
    lossMm: [lossMm, { atLeast: 0 }],
    littlePct: [littlePct, { atLeast: 0 }],
    muchPct: [muchPct, { atLeast: littlePct }],
    farTooMuchPct: [farTooMuchPct, { atLeast: muchPct }],
  });
  const waterMm = netMm + countedRainMm;
  const shared = {
    inputs: {
      netMm,
      countedRainMm,
      lossMm,
      ...(lossMm > 0 ? { percentOfLossPct: (100 * waterMm) / lossMm } : {}),
    },
    limits: { littlePct, muchPct, farTooMuchPct },
    fromMs,
    toMs,
  };
  if (waterMm < (lossMm * littlePct) / 100) {
    return {
      ...shared,
      code: 'too_little_water',
      severity: 'warn',
    };
  }
  if (waterMm > (lossMm * muchPct) / 100) {
    const far = waterMm > (lossMm * farTooMuchPct) / 100;
    return {
      ...shared,
      code: 'too_much_water',
      severity: far ? 'warn' : 'note',
    };
  }
  return null;
}
