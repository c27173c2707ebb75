import type { Surface } from '../../../calc/looks/look-evidence.ts';
import { type DryLimit, runUntilDry } from '../../../calc/sand/bed-column.ts';
import { copyColumn, runColumn, storedMm } from '../../../calc/sand/richards-column.ts';
import type { Column } from '../../../calc/sand/richards-step.ts';
import { WET_SURFACE_FRACTION } from '../../../calc/sand/seedbed-model.ts';

/** Part of the store below which a person calls the surface lightening: nobody knows another's eye. */
export type EyeFraction = number;

type Told = Extract<Surface, 'dark' | 'lightening' | 'dry'>;
const TOLD: readonly Told[] = ['dark', 'lightening', 'dry'];

const STEP_H = 1 / 12;
/** A cycle that fills the seed layer of any of the sands. */
const DOSE_MM = 1.5;
const LEAST_DEMAND_MM_PER_H = 0.1;
/** A bed that lasts longer is as good as full. */
const MOST_H = 24;
const GLIMPSE_H = 0.02;

/** The bed as full as a cycle makes it: drained overnight, watered, half an hour on. */
export function wateredColumn(drained: Column): Column {
  const full = copyColumn(drained);
  runColumn(full, { hours: STEP_H, waterMmPerH: DOSE_MM / STEP_H, demandMmPerH: 0 });
  runColumn(full, { hours: 0.5, waterMmPerH: 0, demandMmPerH: 0 });
  return full;
}

/**
 * Part of the column's store that is left at a demand, by running it dry; 0 when it is dry. Knows
 * nothing of the planning model.
 */
export function partLeft(
  column: Column,
  bed: { full: Column; limit: DryLimit },
  demandNowMmPerH: number,
): number {
  const { full, limit } = bed;
  const demandMmPerH = Math.max(LEAST_DEMAND_MM_PER_H, demandNowMmPerH);
  const glimpse = runColumn(copyColumn(column), {
    hours: GLIMPSE_H,
    waterMmPerH: 0,
    demandMmPerH,
  });
  const isPale = glimpse.evaporatedMm < WET_SURFACE_FRACTION * GLIMPSE_H * demandMmPerH;
  const isDry = storedMm(column, limit.seedLayerMm) <= limit.waterFraction * limit.seedLayerMm;
  if (isPale || isDry) return 0;
  const spell = { hours: MOST_H, waterMmPerH: 0, demandMmPerH };
  const givenMm = (from: Column) =>
    runUntilDry(copyColumn(from), [spell], { limit })?.evaporatedMm ?? MOST_H * demandMmPerH;
  return Math.min(1, givenMm(column) / givenMm(full));
}

/**
 * What a person tells of a bed with this part left.
 *
 * @param unit gives numbers from 0 to below 1: a wrong look names one of the two other surfaces
 */
export function toldOf(
  leftFraction: number,
  person: { eyeFraction: EyeFraction; wrongFraction: number },
  unit: () => number,
): Told {
  const right =
    leftFraction > person.eyeFraction ? 'dark' : leftFraction > 0 ? 'lightening' : 'dry';
  // Both numbers are drawn at every look, so that all eyes are wrong at the same ones.
  const [isWrong, which] = [unit() < person.wrongFraction, unit()];
  if (!isWrong) return right;
  const others = TOLD.filter((surface) => surface !== right);
  return others[Math.floor(which * others.length)] ?? right;
}
