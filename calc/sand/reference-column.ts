import { type DryLimit, dryEventOf } from './bed-column.ts';
import { type ColumnMoment, copyColumn, runColumn, storedMm } from './richards-column.ts';
import type { Column } from './richards-step.ts';

const HOUR_MS = 3_600_000;
/** Standing water thinner than this is a wet surface, not a pond. */
const POND_MM = 0.05;
/** Below this demand nothing dries: the surface cannot be judged by what it gives. */
const LEAST_DEMAND_MM_PER_H = 0.001;
const LONGEST_STEP_H = 0.03;

/** One hour of the weather that a bed really had. */
export interface RealHour {
  startMs: number;
  /** What the air asks of the bed, not below 0. */
  demandMmPerH: number;
  rainMmPerH: number;
}

/** Irrigation that reached the bed, evenly over its time. */
export interface AppliedWater {
  startMs: number;
  endMs: number;
  netMm: number;
}

/** A stretch of time. */
export interface Stretch {
  startMs: number;
  endMs: number;
}

/** What the column made of a bed's water and weather. */
export interface Verdict {
  /** What the air asked for. */
  lossMm: number;
  evaporatedMm: number;
  /** Net irrigation. */
  netMm: number;
  rainMm: number;
  /** Water that fell out of the seed layer, what rose back into it not taken off. */
  belowSeedLayerMm: number;
  /** Water that left the column at its bottom, below the roots. */
  drainedMm: number;
  runoffMm: number;
  daylightMin: number;
  /** Minutes in daylight past the dry limit. */
  dryMin: number;
  /** Minutes with water standing on the surface. */
  pondedMin: number;
  /** When it first was past the limit; null: never. */
  firstDryMs: number | null;
}

/** What a bed is judged over. */
export interface Trial {
  limit: DryLimit;
  /** In order and without a gap. */
  hours: readonly RealHour[];
  /** When a dry seedbed counts, in order. */
  daylight: readonly Stretch[];
  fromMs: number;
  toMs: number;
}

/**
 * The judge of a watering: runs irrigation, rain and the real demand through the numerical column
 * and counts what a person would see. Knows nothing of the planning store, so that it can find it
 * wrong.
 *
 * A bed is past its dry limit when its evaporation falls under 95 % of the demand or the seed
 * layer's mean water content under the limit's. While it drinks more than the air takes it is not
 * called dry. Assumes what the column assumes: one dimension, no trapped air, no vapour, no roots, so
 * it judges beds before emergence.
 *
 * @param column the bed at `fromMs`; its state is changed
 * @param trial limit, weather and daylight, over `fromMs` to `toMs`
 * @param applied irrigation in order of time, without overlap, mm over its time
 * @param stopAtDry true ends the run at the first dry minute
 * @throws RangeError when the hours do not cover the time
 */
export function referenceVerdict(
  column: Column,
  trial: Trial,
  applied: readonly AppliedWater[],
  stopAtDry = false,
): Verdict {
  const verdict = blankVerdict();
  let next = 0;
  let atMs = trial.fromMs;
  while (atMs < trial.toMs) {
    while ((applied[next]?.endMs ?? Number.POSITIVE_INFINITY) <= atMs) next++;
    const water = applied[next];
    const isOn = water !== undefined && water.startMs <= atMs;
    const cutMs = isOn ? water.endMs : (water?.startMs ?? trial.toMs);
    const untilMs = Math.min(cutMs, trial.toMs);
    const rateMmPerH = isOn ? (water.netMm * HOUR_MS) / (water.endMs - water.startMs) : 0;
    atMs = runReferenceUntil(column, trial, { atMs, untilMs, rateMmPerH, stopAtDry }, verdict);
    if (stopAtDry && verdict.firstDryMs !== null) return verdict;
  }
  return verdict;
}

/** Nothing counted yet. */
function blankVerdict(): Verdict {
  return {
    lossMm: 0,
    evaporatedMm: 0,
    netMm: 0,
    rainMm: 0,
    belowSeedLayerMm: 0,
    drainedMm: 0,
    runoffMm: 0,
    daylightMin: 0,
    dryMin: 0,
    pondedMin: 0,
    firstDryMs: null,
  };
}

/**
 * Runs the column at one rate of irrigation up to an instant, hour by hour and across the edges of
 * daylight, adding to the verdict.
 *
 * @returns the instant reached: `untilMs`, or the end of the first dry step when asked to stop there
 */
function runReferenceUntil(
  column: Column,
  trial: Trial,
  run: { atMs: number; untilMs: number; rateMmPerH: number; stopAtDry: boolean },
  verdict: Verdict,
): number {
  const { limit } = trial;
  let { atMs } = run;
  while (atMs < run.untilMs) {
    const hour = hourAt(trial.hours, atMs);
    const light = trial.daylight.find((one) => one.endMs > atMs);
    const isLight = light !== undefined && light.startMs <= atMs;
    const edgeMs = isLight ? light.endMs : (light?.startMs ?? Number.POSITIVE_INFINITY);
    const endMs = Math.min(run.untilMs, hour.startMs + HOUR_MS, edgeMs);
    const demandMmPerH = Math.max(0, hour.demandMmPerH);
    const waterMmPerH = run.rateMmPerH + hour.rainMmPerH;
    const isJudged = isLight && demandMmPerH > LEAST_DEMAND_MM_PER_H && waterMmPerH < demandMmPerH;
    const spell = {
      hours: (endMs - atMs) / HOUR_MS,
      waterMmPerH,
      demandMmPerH,
      longestStepH: LONGEST_STEP_H,
    };
    const fromMs = atMs;
    let seedMm = storedMm(column, limit.seedLayerMm);
    let isStopped = false;
    const flow = runColumn(column, spell, (moment: ColumnMoment) => {
      const nowMm = storedMm(column, limit.seedLayerMm);
      const fellMm = (waterMmPerH - moment.evaporationMmPerH) * moment.stepH - (nowMm - seedMm);
      seedMm = nowMm;
      verdict.belowSeedLayerMm += Math.max(0, fellMm);
      const stepMin = moment.stepH * 60;
      if (column.pondMm > POND_MM) verdict.pondedMin += stepMin;
      if (!isJudged || dryEventOf(moment, { limit, demandMmPerH, seedMm: nowMm }) === null) {
        return false;
      }
      verdict.dryMin += stepMin;
      verdict.firstDryMs ??= fromMs + (moment.elapsedH - moment.stepH) * HOUR_MS;
      isStopped = run.stopAtDry;
      return isStopped;
    });
    verdict.lossMm += demandMmPerH * flow.hours;
    verdict.evaporatedMm += flow.evaporatedMm;
    verdict.netMm += run.rateMmPerH * flow.hours;
    verdict.rainMm += hour.rainMmPerH * flow.hours;
    verdict.drainedMm += flow.drainedMm;
    verdict.runoffMm += flow.runoffMm;
    if (isLight) verdict.daylightMin += flow.hours * 60;
    if (isStopped) return fromMs + flow.hours * HOUR_MS;
    atMs = endMs;
  }
  return atMs;
}

function hourAt(hours: readonly RealHour[], atMs: number): RealHour {
  const first = hours[0]?.startMs ?? Number.NaN;
  const hour = hours[Math.floor((atMs - first) / HOUR_MS)];
  if (hour === undefined || hour.startMs > atMs || hour.startMs + HOUR_MS <= atMs) {
    throw new RangeError(
      `referenceVerdict: no weather at ${atMs} ms (got ${hours.length} hours); give hours without a gap`,
    );
  }
  return hour;
}

const CHECK_MS = 60_000;

/** One rotation of the heads on a bed. */
interface Rotation {
  durationMs: number;
  /** Net depth of a rotation that starts then, mm. */
  netMmAt(startMs: number): number;
}

/**
 * The watering that no plan made ahead can reach: the column itself is looked at every
 * minute of daylight, with one rotation at the last of them before the bed would be dry. Tells
 * what a plan loses by not seeing the sand and the weather to come.
 *
 * @param start the bed at the trial's start; it stays as it is
 * @returns the rotations given, and the verdict on them
 */
export function lastMomentWater(
  start: Column,
  trial: Trial,
  rotation: Rotation,
): { applied: AppliedWater[]; verdict: Verdict } {
  const verdict = blankVerdict();
  const applied: AppliedWater[] = [];
  let column = copyColumn(start);
  let atMs = trial.fromMs;
  while (atMs < trial.toMs) {
    const light = trial.daylight.find((one) => one.endMs > atMs);
    const lightMs = light?.startMs ?? trial.toMs;
    if (atMs < lightMs) {
      const run = { atMs, untilMs: Math.min(lightMs, trial.toMs), rateMmPerH: 0, stopAtDry: false };
      atMs = runReferenceUntil(column, trial, run, verdict);
      continue;
    }
    const before = copyColumn(column);
    const counted = { ...verdict };
    const untilMs = Math.min(atMs + CHECK_MS, light?.endMs ?? trial.toMs, trial.toMs);
    runReferenceUntil(column, trial, { atMs, untilMs, rateMmPerH: 0, stopAtDry: true }, verdict);
    if (verdict.dryMin === counted.dryMin) {
      atMs = untilMs;
      continue;
    }
    column = before;
    Object.assign(verdict, counted);
    const endMs = Math.min(atMs + rotation.durationMs, trial.toMs);
    const netMm = (rotation.netMmAt(atMs) * (endMs - atMs)) / rotation.durationMs;
    const rateMmPerH = (netMm * 3_600_000) / (endMs - atMs);
    runReferenceUntil(
      column,
      trial,
      { atMs, untilMs: endMs, rateMmPerH, stopAtDry: false },
      verdict,
    );
    applied.push({ startMs: atMs, endMs, netMm });
    atMs = endMs;
  }
  return { applied, verdict };
}
