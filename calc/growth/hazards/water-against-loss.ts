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
    rule: `Below ${littlePct} % of the loss is too little, above ${muchPct} % too much, above ${farTooMuchPct} % far too much (assumed, to edit).`,
    inputs: {
      netMm,
      countedRainMm,
      lossMm,
      ...(lossMm > 0 ? { percentOfLossPct: (100 * waterMm) / lossMm } : {}),
    },
    fromMs,
    toMs,
  };
  if (waterMm < (lossMm * littlePct) / 100) {
    return {
      ...shared,
      code: 'too_little_water',
      severity: 'warn',
      text: 'The bed gets less than it loses: the seedbed runs dry before the next cycle. Look for lightening at the hottest hour.',
    };
  }
  if (waterMm > (lossMm * muchPct) / 100) {
    const far = waterMm > (lossMm * farTooMuchPct) / 100;
    return {
      ...shared,
      code: 'too_much_water',
      severity: far ? 'warn' : 'note',
      text: far
        ? 'The bed gets far more than it loses: the rest drains, takes feed with it and keeps the surface open to disease and algae.'
        : 'The bed gets more than it loses: the rest drains and takes feed with it.',
    };
  }
  return null;
}
