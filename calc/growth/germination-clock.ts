import { requireNumbers } from '../input-range.ts';
import {
  BENTGRASS_PACE,
  type GerminationPace,
  momentOfSum,
  type SeedbedHour,
  sumAtCDays,
  type ThermalCourse,
  type ThermalMoment,
  thermalCourse,
} from './thermal-time.ts';

/** What a person saw on the bed: nothing yet, white root tips, or the first green. */
type SeedSign = 'nothing' | 'root_tips' | 'green';

/** A sign and when it was seen. */
export interface SignSeen {
  sign: SeedSign;
  atMs: number;
}

/** When the first green may be expected. */
interface GerminationWindow {
  /** Base temperature of the degree-days: a sum means nothing without it. */
  baseTempC: number;
  /** Degree-days gathered by now. */
  sumCDays: number;
  /** Degree-days at which the window opens and closes, after the correction. */
  leastCDays: number;
  mostCDays: number;
  /** Null while the seedbed is too cold for anything to come. */
  earliest: ThermalMoment | null;
  latest: ThermalMoment | null;
  /** The sign that corrected the window; null when none did. */
  correctedBy: SeedSign | null;
  /** Pace of this lot against the one assumed: below 1 it is faster. For the next bed's pace. */
  scaleFraction: number;
  /** True when nothing was seen after the window had closed: look for the cause. */
  overdue: boolean;
  /** Hours since sowing without a temperature. */
  missingHours: number;
}

/**
 * Window in which the first green is expected, from the seedbed's hourly temperatures and what was
 * seen.
 *
 * A window and never a date: no published thermal time for creeping bentgrass was found, and light,
 * seed age and drying move it. Root tips that were seen stretch or shrink the whole window so that
 * its middle fits them; a bed seen without a sign cannot have greened before; a green that was seen
 * closes the window at that instant. Temperatures after now should be those foretold. The caller
 * shows the two instants as days of the site.
 *
 * @param asked sowing and now, epoch ms; hours in order of time from sowing on; signs in any order;
 *   pace with base below the ceiling, degree-days above 0.
 * @throws RangeError when hours are out of order, a temperature is out of range, or the pace cannot
 *   be.
 * Source: thermal time; figures of {@link BENTGRASS_PACE}, which are assumed.
 * @example
 * // A steady 20 °C gains 15 degree-days a day over base 5 °C: day 5 to day 8 after sowing.
 */
export function germinationWindow(asked: {
  sownMs: number;
  nowMs: number;
  hours: readonly SeedbedHour[];
  seen?: readonly SignSeen[];
  pace?: GerminationPace;
}): GerminationWindow {
  const { sownMs, nowMs, hours, seen = [], pace = BENTGRASS_PACE } = asked;
  requirePace(pace);
  const course = thermalCourse({ sownMs, hours, pace });
  const shared = {
    baseTempC: pace.baseTempC,
    sumCDays: sumAtCDays(course, nowMs),
    missingHours: course.missingHours,
  };
  const middleCDays = (pace.leastCDays + pace.mostCDays) / 2;

  const greenMs = firstSeenMs(seen, 'green');
  if (greenMs !== null) {
    const sum = sumAtCDays(course, greenMs);
    const then = { atMs: greenMs, carried: false };
    return {
      ...shared,
      leastCDays: sum,
      mostCDays: sum,
      earliest: then,
      latest: then,
      correctedBy: 'green',
      scaleFraction: scaleOf(sum, middleCDays),
      overdue: false,
    };
  }

  const tipsMs = firstSeenMs(seen, 'root_tips');
  const scaleFraction =
    tipsMs === null ? 1 : scaleOf(sumAtCDays(course, tipsMs), middleCDays * pace.rootTipsFraction);
  const leastCDays = pace.leastCDays * scaleFraction;
  const mostCDays = pace.mostCDays * scaleFraction;
  const notBeforeMs = lastWithoutGreenMs(seen);
  const earliest = momentOfSum(course, leastCDays);
  const latest = momentOfSum(course, mostCDays);
  const overdue = latest !== null && notBeforeMs !== null && notBeforeMs > latest.atMs;
  const movedByNothing = earliest !== null && notBeforeMs !== null && notBeforeMs > earliest.atMs;
  return {
    ...shared,
    leastCDays: notBefore(course, leastCDays, notBeforeMs),
    mostCDays: notBefore(course, mostCDays, notBeforeMs),
    earliest: later(earliest, notBeforeMs),
    latest: later(latest, notBeforeMs),
    correctedBy: tipsMs !== null ? 'root_tips' : movedByNothing ? 'nothing' : null,
    scaleFraction,
    overdue,
  };
}

/**
 * The pace of a lot that was seen to be faster or slower: degree-days times a fraction above 0.
 *
 * @example
 * scaledPace(BENTGRASS_PACE, 0.9).leastCDays; // 67.5
 */
export function scaledPace(pace: GerminationPace, scaleFraction: number): GerminationPace {
  const scaled = {
    ...pace,
    leastCDays: pace.leastCDays * scaleFraction,
    mostCDays: pace.mostCDays * scaleFraction,
  };
  requirePace(scaled);
  return scaled;
}

function firstSeenMs(seen: readonly SignSeen[], sign: SeedSign): number | null {
  const instants = seen.filter((one) => one.sign === sign).map((one) => one.atMs);
  return instants.length === 0 ? null : Math.min(...instants);
}

/** Root tips without green also say that the green had not come yet. */
function lastWithoutGreenMs(seen: readonly SignSeen[]): number | null {
  const instants = seen.filter((one) => one.sign !== 'green').map((one) => one.atMs);
  return instants.length === 0 ? null : Math.max(...instants);
}

/**
 * A lot cannot be thought of as more than three times faster or slower: a sign logged on the wrong
 * day or bed must not throw the window out of all bounds.
 */
function scaleOf(sumCDays: number, expectedCDays: number): number {
  return Math.min(3, Math.max(1 / 3, sumCDays / expectedCDays));
}

function later(moment: ThermalMoment | null, notBeforeMs: number | null): ThermalMoment | null {
  if (moment === null || notBeforeMs === null || notBeforeMs <= moment.atMs) return moment;
  return { atMs: notBeforeMs, carried: false };
}

function notBefore(course: ThermalCourse, cDays: number, notBeforeMs: number | null): number {
  return notBeforeMs === null ? cDays : Math.max(cDays, sumAtCDays(course, notBeforeMs));
}

function requirePace(pace: GerminationPace): void {
  const { baseTempC, noneBelowC, ceilingTempC, leastCDays, mostCDays, rootTipsFraction } = pace;
  requireNumbers('germinationWindow.pace', {
    baseTempC: [baseTempC, { atLeast: -5, atMost: 15 }],
    noneBelowC: [noneBelowC, { atLeast: -5, atMost: 20 }],
    ceilingTempC: [ceilingTempC, { above: Math.max(baseTempC, noneBelowC), atMost: 50 }],
    leastCDays: [leastCDays, { above: 0 }],
    mostCDays: [mostCDays, { atLeast: leastCDays }],
    rootTipsFraction: [rootTipsFraction, { above: 0, atMost: 1 }],
  });
}

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
