import { requireNumbers } from '../input-range.ts';
import type { StageName } from './stages.ts';

/** How fast a seed lot moves with warmth. */
export interface GerminationPace {
  /** Temperature at and below which nothing is gained. */
  baseTempC: number;
  /** Below this an hour gains nothing, although it may be above the base. */
  noneBelowC: number;
  /** Above this an hour gains no more. */
  ceilingTempC: number;
  /** Degree-days from sowing to the first green at the earliest. */
  leastCDays: number;
  /** Degree-days from sowing to the first green at the latest. */
  mostCDays: number;
  /** Part of the way to the first green at which root tips show. */
  rootTipsFraction: number;
}

/**
 * Pace of creeping bentgrass: assumed, since no published thermal time for it was found. The figures
 * follow from a first green after 5 to 8 days at 20 °C over a base of 5 °C; none below 7 °C and a
 * best range up to 30 °C are common findings; the root tips' part is a guess. All to edit.
 */
export const BENTGRASS_PACE: GerminationPace = {
  baseTempC: 5,
  noneBelowC: 7,
  ceilingTempC: 30,
  leastCDays: 75,
  mostCDays: 120,
  rootTipsFraction: 0.6,
};

/** Mean temperature of the seedbed over one hour. */
export interface SeedbedHour {
  /** Beginning of the hour, epoch milliseconds. */
  startMs: number;
  tempC: number;
}

/** Degree-days gathered since sowing. */
export interface ThermalCourse {
  /** Sum at the end of each hour, in order, beginning with 0 at sowing. */
  points: { atMs: number; sumCDays: number }[];
  /** Gain a day with which the course goes on after its last hour. */
  onwardCDaysPerDay: number;
  /** Hours since sowing that no source gave: the hours beside them stand in. */
  missingHours: number;
}

/** When a sum is reached. */
export interface ThermalMoment {
  atMs: number;
  /** True when it lies after the last hour given, so that the last day's pace stands in. */
  carried: boolean;
}

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/**
 * Degree-days that one hour adds, at least 0.
 *
 * @param tempC mean seedbed temperature of the hour, -40 to 90 °C.
 * @param pace base, least and ceiling temperatures in °C.
 * @throws RangeError when the temperature is outside its range.
 * Source: thermal time, (T - base) / 24 per hour; figures as {@link BENTGRASS_PACE}.
 * @example
 * hourGainCDays(20, BENTGRASS_PACE); // 0.625: 15 degree-days in a day at 20 °C
 */
export function hourGainCDays(tempC: number, pace: GerminationPace): number {
  requireNumbers('hourGainCDays', { tempC: [tempC, { atLeast: -40, atMost: 90 }] });
  if (tempC < pace.noneBelowC) return 0;
  return Math.max(0, Math.min(tempC, pace.ceilingTempC) - pace.baseTempC) / 24;
}

/**
 * Course of the degree-days since sowing.
 *
 * An hour that sowing cuts counts by its part. Missing hours gain the mean of the hours beside them.
 * After the last hour the mean gain of the last day goes on.
 *
 * @param asked sowing, and hours in order of time without overlap; none gives a course that stands
 *   still.
 * @throws RangeError when hours are out of order or a temperature is out of range.
 * Source: as {@link hourGainCDays}.
 */
export function thermalCourse(asked: {
  sownMs: number;
  hours: readonly SeedbedHour[];
  pace: GerminationPace;
}): ThermalCourse {
  const { sownMs, hours, pace } = asked;
  requireNumbers('thermalCourse', { sownMs: [sownMs, {}] });
  const points = [{ atMs: sownMs, sumCDays: 0 }];
  let sumCDays = 0;
  let endMs = sownMs;
  let lastGain: number | null = null;
  let missingMs = 0;
  let previousStartMs = Number.NEGATIVE_INFINITY;
  for (const hour of hours) {
    if (!(hour.startMs - previousStartMs >= HOUR_MS)) {
      throw new RangeError(
        `thermalCourse.hours: not in order of time (got ${hour.startMs}); sort them, one an hour`,
      );
    }
    previousStartMs = hour.startMs;
    const gain = hourGainCDays(hour.tempC, pace);
    const hourEndMs = hour.startMs + HOUR_MS;
    if (hourEndMs <= sownMs) continue;
    if (hour.startMs > endMs) {
      const beside = lastGain === null ? gain : (lastGain + gain) / 2;
      missingMs += hour.startMs - endMs;
      sumCDays += (beside * (hour.startMs - endMs)) / HOUR_MS;
      points.push({ atMs: hour.startMs, sumCDays });
      endMs = hour.startMs;
    }
    sumCDays += (gain * (hourEndMs - endMs)) / HOUR_MS;
    points.push({ atMs: hourEndMs, sumCDays });
    endMs = hourEndMs;
    lastGain = gain;
  }
  const dayAgo = sumBetween(points, endMs - DAY_MS);
  const spanMs = Math.min(DAY_MS, endMs - sownMs);
  return {
    points,
    onwardCDaysPerDay: spanMs > 0 ? ((sumCDays - dayAgo) * DAY_MS) / spanMs : 0,
    missingHours: Math.round(missingMs / HOUR_MS),
  };
}

/** Degree-days at an instant: 0 before sowing, carried on after the last hour. */
export function sumAtCDays(course: ThermalCourse, atMs: number): number {
  const last = course.points.at(-1);
  if (last !== undefined && atMs > last.atMs) {
    return last.sumCDays + (course.onwardCDaysPerDay * (atMs - last.atMs)) / DAY_MS;
  }
  return sumBetween(course.points, atMs);
}

/** When a sum above 0 is reached, or null when the seedbed stays too cold for it. */
export function momentOfSum(course: ThermalCourse, sumCDays: number): ThermalMoment | null {
  let before = course.points[0];
  for (const point of course.points) {
    if (before !== undefined && point.sumCDays >= sumCDays && point.sumCDays > before.sumCDays) {
      const part = (sumCDays - before.sumCDays) / (point.sumCDays - before.sumCDays);
      return { atMs: Math.round(before.atMs + part * (point.atMs - before.atMs)), carried: false };
    }
    before = point;
  }
  if (before === undefined || course.onwardCDaysPerDay <= 0) return null;
  const daysOn = (sumCDays - before.sumCDays) / course.onwardCDaysPerDay;
  return { atMs: Math.round(before.atMs + daysOn * DAY_MS), carried: true };
}

function sumBetween(points: ThermalCourse['points'], atMs: number): number {
  let before = points[0];
  for (const point of points) {
    if (point.atMs >= atMs) {
      if (before === undefined || before === point) return 0;
      const part = (atMs - before.atMs) / (point.atMs - before.atMs);
      return before.sumCDays + part * (point.sumCDays - before.sumCDays);
    }
    before = point;
  }
  return before?.sumCDays ?? 0;
}

/** Degree-days from sowing to the first mowing, over the base of the germination's pace. */
interface MowPace {
  leastCDays: number;
  mostCDays: number;
}

/**
 * Common practice tells three to five weeks from seeding to the first mowing; at 20 °C over a base of
 * 5 °C, as for the first green, these are 315 to 525 degree-days. Assumed: no thermal time to the
 * first mowing was found. To edit.
 */
const FIRST_MOW_PACE: MowPace = { leastCDays: 315, mostCDays: 525 };

/** A window of time; null: the seedbed stays too cold within the hours given. */
type Window = { earliestMs: number; latestMs: number } | null;

/** How a grow-in may be expected to go, before anyone has seen anything. */
export interface GrowInCourse {
  firstGreen: Window;
  firstMow: Window;
  /** When a bed may be expected to enter each stage, in order; those not reached are left out. */
  stages: { stage: StageName; fromMs: number }[];
}

/**
 * The course of a grow-in over a typical season: windows of the first green and of the first mowing
 * by thermal time, and between them the stages, for planning ahead only: on the turf a person moves a
 * stage by its signs. Emergence begins in the middle of the first green's window, first mow in the
 * middle of its own, tillering half-way between.
 *
 * @param asked sowing, epoch ms; hourly temperatures of the wet seedbed in order of time, °C
 * @throws RangeError when hours are out of order or a temperature is out of range
 * Source: thermal time; {@link BENTGRASS_PACE} and {@link FIRST_MOW_PACE}, both assumed.
 * @example
 * // A steady 20 °C gains 15 degree-days a day: green on day 5 to 8, first mowing on day 21 to 35.
 */
export function growInCourse(asked: {
  sownMs: number;
  hours: readonly SeedbedHour[];
  pace?: GerminationPace;
  mowPace?: MowPace;
}): GrowInCourse {
  const { sownMs, hours, pace = BENTGRASS_PACE, mowPace = FIRST_MOW_PACE } = asked;
  const course = thermalCourse({ sownMs, hours, pace });
  const reached = (sumCDays: number): number | null => {
    const moment = momentOfSum(course, sumCDays);
    return moment === null || moment.carried ? null : moment.atMs;
  };
  const window = ({ leastCDays, mostCDays }: MowPace): Window => {
    const earliestMs = reached(leastCDays);
    const latestMs = reached(mostCDays);
    return earliestMs === null || latestMs === null ? null : { earliestMs, latestMs };
  };
  const greenCDays = (pace.leastCDays + pace.mostCDays) / 2;
  const mowCDays = (mowPace.leastCDays + mowPace.mostCDays) / 2;
  const begins: [StageName, number | null][] = [
    ['germination', sownMs],
    ['emergence', reached(greenCDays)],
    ['tillering', reached((greenCDays + mowCDays) / 2)],
    ['first_mow', reached(mowCDays)],
  ];
  return {
    firstGreen: window(pace),
    firstMow: window(mowPace),
    stages: begins.flatMap(([stage, fromMs]) => (fromMs === null ? [] : [{ stage, fromMs }])),
  };
}
