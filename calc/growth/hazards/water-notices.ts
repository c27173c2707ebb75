import { requireNumbers } from '../../input-range.ts';
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

/** Restriction on the use of a water by its salinity. */
type WaterSalinityClass = 'none' | 'slight_to_moderate' | 'severe';

/**
 * Class of an irrigation water by its electrical conductivity.
 *
 * @param waterDSPerM conductivity at 25 °C, 0 to 60 dS/m.
 * @throws RangeError when the conductivity is outside its range.
 * Source: Ayers & Westcot 1985, FAO-29 (from memory): none below 0.7, severe above 3.0 dS/m.
 * @example
 * waterSalinityClass(1.2); // 'slight_to_moderate'
 */
export function waterSalinityClass(waterDSPerM: number): WaterSalinityClass {
  requireNumbers('waterSalinityClass', { waterDSPerM: [waterDSPerM, { atLeast: 0, atMost: 60 }] });
  if (waterDSPerM < 0.7) return 'none';
  return waterDSPerM > 3 ? 'severe' : 'slight_to_moderate';
}

/**
 * Salinity of the irrigation water against a seedbed, or null.
 *
 * @param asked conductivity of the water, dS/m; whether the seedlings are still coming up, when they
 *   bear least; the stretch of time that the reading speaks for.
 * @throws RangeError when the conductivity is outside its range.
 * Source: Ayers & Westcot 1985, FAO-29 (from memory); below 1 dS/m for seeding is common practice.
 */
export function irrigationSalinityNotice(asked: {
  waterDSPerM: number;
  comingUp: boolean;
  fromMs: number;
  toMs: number;
}): Notice | null {
  const { waterDSPerM, comingUp, fromMs, toMs } = asked;
  const waterClass = waterSalinityClass(waterDSPerM);
  if (waterClass === 'none') return null;
  const severe = waterClass === 'severe';
  const tooMuchForSeed = comingUp && waterDSPerM >= 1;
  return {
    code: 'irrigation_salinity',
    severity: severe ? 'danger' : tooMuchForSeed ? 'warn' : 'note',
    inputs: { waterDSPerM, class: waterClass, comingUp: comingUp ? 'yes' : 'no' },
    limits: {},
    fromMs,
    toMs,
  };
}

/** A stretch of time. */
export interface Stretch {
  startMs: number;
  endMs: number;
}

/**
 * Cycles with reclaimed water outside the hours that its permit allows, or null.
 *
 * Permits commonly allow 22:00 to 06:00 unless the place is supervised, and a seedbed dries at noon:
 * the conflict is shown, not solved. The local permit decides; the caller gives its hours.
 *
 * @param asked the planned cycles and the permitted stretches, epoch ms; a cycle may lie across
 *   permitted stretches that touch.
 * @throws RangeError when a stretch ends before it starts.
 * Source: state rules for reclaimed water, commonly 22:00 to 06:00 unless supervised.
 */
export function reclaimedWaterNotice(asked: {
  cycles: readonly Stretch[];
  permitted: readonly Stretch[];
}): Notice | null {
  const cycles = inOrder('cycles', asked.cycles);
  const permitted = joined(inOrder('permitted', asked.permitted));
  const outside = cycles.filter(
    (cycle) => !permitted.some((one) => one.startMs <= cycle.startMs && cycle.endMs <= one.endMs),
  );
  const [first] = outside;
  if (first === undefined) return null;
  return {
    code: 'reclaimed_water',
    severity: 'danger',
    inputs: { cyclesOutside: outside.length, cycles: cycles.length },
    limits: {},
    fromMs: first.startMs,
    toMs: Math.max(...outside.map((cycle) => cycle.endMs)),
  };
}

function inOrder(name: string, stretches: readonly Stretch[]): Stretch[] {
  for (const { startMs, endMs } of stretches) {
    if (!(endMs >= startMs)) {
      throw new RangeError(
        `reclaimedWaterNotice.${name}: ends before it starts (got ${startMs} to ${endMs}); give the start first`,
      );
    }
  }
  return [...stretches].sort((a, b) => a.startMs - b.startMs);
}

function joined(stretches: readonly Stretch[]): Stretch[] {
  const result: Stretch[] = [];
  for (const one of stretches) {
    const last = result.at(-1);
    if (last !== undefined && one.startMs <= last.endMs) {
      last.endMs = Math.max(last.endMs, one.endMs);
    } else result.push({ ...one });
  }
  return result;
}
