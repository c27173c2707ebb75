import type { StageName } from './stages.ts';
import {
  BENTGRASS_PACE,
  type GerminationPace,
  momentOfSum,
  type SeedbedHour,
  thermalCourse,
} from './thermal-time.ts';

/** Degree-days from sowing to the first mowing, over the base of the germination's pace. */
export interface MowPace {
  leastCDays: number;
  mostCDays: number;
}

/**
 * Common practice tells three to five weeks from seeding to the first mowing; at 20 °C over a base of
 * 5 °C, as for the first green, these are 315 to 525 degree-days. Assumed: no thermal time to the
 * first mowing was found. To edit.
 */
export const FIRST_MOW_PACE: MowPace = { leastCDays: 315, mostCDays: 525 };

/** A window of time; null: the seedbed stays too cold within the hours given. */
export type Window = { earliestMs: number; latestMs: number } | null;

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
