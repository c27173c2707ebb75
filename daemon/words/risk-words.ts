import type { BedPlan, DayPlan } from '../../calc/schedule/day-plan.ts';
import type { Say } from './language.ts';
import { type Reader, sayTo } from './plan-words.ts';

/** A share that passes the accepted one by less is the coarseness of some two dozen futures. */
const NOTICEABLE_FRACTION = 0.02;
/** Above this share "1 of so many" says too little. */
const OFTEN_FRACTION = 0.4;

/** How often a bed gets dry all the same: "dry for a while in 1 of 12 such days"; null: as accepted. */
export function sayBedRisk(
  bed: Pick<BedPlan, 'dryRiskFraction'>,
  plan: Pick<DayPlan, 'ground'>,
  reader: Pick<Reader, 'language'>,
): string | null {
  const say = sayTo(reader);
  const often = oftenOf(bed, plan, say);
  return often === null ? null : say('risk.bed', { often });
}

/** "1 of 12", "7 of 10"; null where the accepted risk is kept, or none is known. */
function oftenOf(
  { dryRiskFraction = 0 }: Pick<BedPlan, 'dryRiskFraction'>,
  plan: Pick<DayPlan, 'ground'>,
  say: Say,
): string | null {
  const accepted = acceptedOf(plan);
  if (accepted === null || dryRiskFraction <= accepted + NOTICEABLE_FRACTION) return null;
  return dryRiskFraction > OFTEN_FRACTION
    ? say('risk.of', { times: Math.round(10 * dryRiskFraction), days: 10 })
    : say('risk.of', { times: 1, days: Math.round(1 / dryRiskFraction) });
}

/** The accepted share; null for plans of before, which kept a fixed reserve instead. */
function acceptedOf({ ground }: Pick<DayPlan, 'ground'>): number | null {
  const accepted = (ground?.limits as { riskFraction?: number } | undefined)?.riskFraction;
  return accepted ?? null;
}

/** How many beds are named; the rest are counted. */
const MOST_NAMED = 4;

/**
 * What risk a plan keeps, and the beds on which it does not: one line for the day and for whoever
 * confirms. Null: a plan that was laid for one course of the day alone.
 */
export function sayPlanRisk(
  plan: Pick<DayPlan, 'beds' | 'ground'>,
  reader: Pick<Reader, 'language'>,
): string | null {
  const accepted = acceptedOf(plan);
  const known = plan.beds.filter(({ dryRiskFraction }) => dryRiskFraction !== undefined);
  if (accepted === null || known.length === 0) return null;
  const say = sayTo(reader);
  const kept =
    accepted > 0 ? say('risk.kept', { days: Math.round(1 / accepted) }) : say('risk.kept.never');
  const beds = known
    .toSorted((a, b) => (b.dryRiskFraction ?? 0) - (a.dryRiskFraction ?? 0))
    .flatMap((bed) => {
      const often = oftenOf(bed, plan, say);
      return often === null ? [] : [say('risk.named', { bed: bed.name, often })];
    });
  if (beds.length === 0) return kept;
  const named = beds.slice(0, MOST_NAMED).join('; ');
  return `${kept} ${say('risk.more_often', { beds: named, more: Math.max(0, beds.length - MOST_NAMED) })}`;
}
