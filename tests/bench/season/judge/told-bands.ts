import { referenceVerdict } from '../../../../calc/sand/reference-column.ts';
import type { DryBand } from '../../../../calc/schedule/bed-moisture.ts';
import type { BedPlan } from '../../../../calc/schedule/day-plan.ts';
import type { SeasonCase } from '../season-case.ts';
import type { Morning } from './day-verdicts.ts';

/** How many bands were told, and how many held the moment at which the bed would have been dry. */
export interface BandCount {
  told: number;
  inside: number;
}

/** The band of a morning's plan; null where it carries none. */
export function bandOf(bed: BedPlan | undefined): DryBand | null {
  return bed?.dryBandMs ?? null;
}

/**
 * Whether the bed, left without water from a morning on, is first dry within the band. A bed that is
 * not dry by the end of the weather counts as later than any instant.
 */
export function isInBand(
  { trial }: SeasonCase,
  { fromMs, column }: Pick<Morning, 'fromMs' | 'column'>,
  band: DryBand,
): boolean {
  const last = trial.hours.at(-1)?.startMs ?? trial.toMs;
  const dryRun = { ...trial, fromMs, toMs: Math.max(trial.toMs, last) };
  const { firstDryMs } = referenceVerdict(column, dryRun, [], true);
  const never = Number.POSITIVE_INFINITY;
  const dryMs = firstDryMs ?? never;
  return dryMs >= (band.earliestMs ?? never) && dryMs <= (band.latestMs ?? never);
}
