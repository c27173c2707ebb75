import { type Stage, stageCoefficient } from '../growth/stages.ts';
import { saturationKPa } from '../sky/air.ts';
import type { EtHour } from '../sky/weather-hour.ts';
import type { Bed } from './site.ts';

/** The grid on which stores are followed. */
export const STEP_MIN = 5;
export const STEP_MS = STEP_MIN * 60_000;
const HOUR_MS = 3_600_000;

/** A stretch of time cut into steps of `STEP_MIN`. */
export interface StepGrid {
  startMs: number;
  steps: number;
}

/** Loss and rain of one bed, mm in each step of the grid. */
export interface BedDemand {
  demandMm: Float64Array;
  rainMm: Float64Array;
  /** What closed leaves keep back of the loss at night, and wet sand may not; left out: not told. */
  nightExtraMm?: Float64Array;
  /**
   * What reaches the ground of water that is given, against what is planned to: wind and dry air take
   * more of it in one weather than in another. Left out: as planned.
   */
  netFactor?: Float64Array;
}

/** The grid that covers `startMs` to `endMs`, beginning on a whole step. */
export function stepGrid(startMs: number, endMs: number): StepGrid {
  const start = Math.floor(startMs / STEP_MS) * STEP_MS;
  return { startMs: start, steps: Math.max(0, Math.ceil((endMs - start) / STEP_MS)) };
}

/**
 * Loss of a bed in each step, mm: reference ET times the coefficient of its wet surface, its
 * exposure and the person's trim. Each hour's figures are spread evenly over the hour.
 *
 * @param hours Hours in order that cover the grid.
 * @param coefficient Crop or wet-soil coefficient of the bed, 0 to about 1.3.
 * @throws RangeError when the hours do not cover the grid.
 */
export function bedDemand(
  bed: Pick<Bed, 'exposureFraction' | 'trimFraction'>,
  hours: readonly EtHour[],
  coefficient: number,
  grid: StepGrid,
): BedDemand {
  const demandMm = new Float64Array(grid.steps);
  const rainMm = new Float64Array(grid.steps);
  const nightExtraMm = new Float64Array(grid.steps);
  const scale = (coefficient * bed.exposureFraction * bed.trimFraction * STEP_MS) / HOUR_MS;
  let index = 0;
  for (let step = 0; step < grid.steps; step++) {
    const atMs = grid.startMs + step * STEP_MS;
    let hour = hours[index];
    while (hour !== undefined && hour.startMs + HOUR_MS <= atMs) hour = hours[++index];
    if (hour === undefined || hour.startMs > atMs) {
      throw new RangeError(
        `hours: no weather for the step at ${atMs} ms (got ${hours.length} hours); give hours without a gap`,
      );
    }
    demandMm[step] = hour.referenceEtMm * scale;
    nightExtraMm[step] = (hour.wetNightEtMm - hour.referenceEtMm) * scale;
    rainMm[step] = (hour.rainMm * STEP_MS) / HOUR_MS;
  }
  return { demandMm, rainMm, nightExtraMm };
}

/**
 * Loss of a bed in a stage against the reference, over the air of the hours given, no unit.
 *
 * @param hours At least one.
 * @param seenCoverFraction Part of the bed that a person saw green, 0 to 1; left out: the stage's.
 */
export function lossCoefficient(
  stage: Stage,
  hours: readonly EtHour[],
  seenCoverFraction: number = stage.coverFraction,
): number {
  const days = Math.max(1, hours.length / 24);
  const humidityPct = (hour: EtHour) =>
    Math.min(100, (100 * hour.vapourPressureKPa) / saturationKPa(hour.airTempC));
  const total = (pick: (hour: EtHour) => number) =>
    hours.reduce((sum, hour) => sum + pick(hour), 0);
  const seen = { ...stage, coverFraction: seenCoverFraction };
  return stageCoefficient(seen, {
    windMPerS: total((hour) => hour.windMPerS) / Math.max(1, hours.length),
    leastHumidityPct: Math.min(100, ...hours.map(humidityPct)),
    referenceEtMm:
      Math.max(
        0,
        total((hour) => hour.referenceEtMm),
      ) / days,
  });
}
