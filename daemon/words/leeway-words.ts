import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { type BedUse, planAsItStands, sumsOfUses } from '../../calc/schedule/leeway-change.ts';
import type { BedLeeway } from '../../calc/schedule/plan-leeway.ts';
import type { PlanStanding } from '../site/gate/gate.ts';
import { usesOfChange } from '../site/gate/within-leeway.ts';
import { bedName, type Reader, sayTo } from './plan-words.ts';

/** A plan's leeway in one sentence, with what it asks of whoever confirms; null: it has none. */
export function sayLeeway(plan: Pick<DayPlan, 'leeway'>, reader: Reader): string | null {
  const { leeway } = plan;
  if (leeway === undefined || leeway.beds.length === 0) return null;
  const say = sayTo(reader);
  const most = (of: (bed: BedLeeway) => number) => Math.max(...leeway.beds.map(of));
  const spares = most(({ spareCycles }) => spareCycles);
  const leftOut = leeway.beds.reduce((sum, { leaveOutCycles }) => sum + leaveOutCycles, 0);
  const moveMin = most(({ moveMin: min }) => min);
  const until = reader.clock.timeOf(most(({ untilMs }) => untilMs));
  const parts = [
    ...(spares > 0 ? [say('leeway.spares', { count: spares, until })] : []),
    ...(leftOut > 0 ? [say('leeway.left_out', { count: leftOut })] : []),
    ...(moveMin > 0 ? [say('leeway.moved', { move: minutes(moveMin) })] : []),
  ].join(', ');
  return say('leeway.sentence', { parts, most: reader.show.volume(leeway.mostL) });
}

/** Each bed's leeway in figures. */
export function sayBedLeeways(plan: Pick<DayPlan, 'beds' | 'leeway'>, reader: Reader): string[] {
  const say = sayTo(reader);
  return (plan.leeway?.beds ?? []).map((bed) =>
    say('leeway.bed', {
      bed: bedName(plan, bed.bedId),
      spares: bed.spareCycles,
      rotations: bed.mostRotations,
      leaveOut: bed.leaveOutCycles,
      laid: bed.laidCycles,
      most: reader.show.volume(bed.mostL),
    }),
  );
}

/**
 * What there is to read of a plan's leeway: before the confirm what it would let the daemon do and what
 * that asks of whoever confirms, after it whether it was given and what was done within it.
 */
export function leewayLines(plan: DayPlan, standing: PlanStanding, reader: Reader): string[] {
  const say = sayTo(reader);
  if (standing.kind === 'held') {
    const sentence = sayLeeway(plan, reader);
    return sentence === null ? [] : [sentence, say('leeway.day_holds')];
  }
  if (standing.kind !== 'confirmed') return [];
  const { leewayBedIds, change, who, atMs } = standing;
  if (leewayBedIds === null) return plan.leeway === undefined ? [] : [say('leeway.not_given')];
  const uses = sayUses(usesOfChange({ plan, confirmedMs: atMs }, change), plan, reader);
  return [
    say('leeway.follows', { who }),
    uses === null ? say('leeway.nothing_used') : say('leeway.used', { uses }),
  ];
}

/** A confirmed plan as it stands now; any other as it is. */
export function asItStands(plan: DayPlan, standing: PlanStanding): DayPlan {
  return standing.kind === 'confirmed' && standing.change !== null
    ? planAsItStands(plan, standing.change.cycles)
    : plan;
}

/** What a person has let the daemon do with a confirm. */
export function sayGiven(
  plan: Pick<DayPlan, 'beds' | 'leeway'>,
  bedIds: readonly string[] | null,
  reader: Pick<Reader, 'language' | 'place'>,
): string {
  const say = sayTo(reader);
  if (bedIds === null || bedIds.length === 0) return say('leeway.not_given');
  if (bedIds.length === plan.leeway?.beds.length) return say('leeway.given_all');
  return say('leeway.given', { beds: bedIds.map((id) => bedName(plan, id)).join(', ') });
}

/** What was done within the leeway, bed by bed; null: nothing. */
export function sayUses(
  uses: readonly BedUse[],
  plan: Pick<DayPlan, 'beds'>,
  reader: Pick<Reader, 'language' | 'place' | 'clock'>,
): string | null {
  if (uses.length === 0) return null;
  const say = sayTo(reader);
  return uses
    .map(({ bedId, leftOut, moved, addedMs }) => {
      const at = addedMs.map((ms) => reader.clock.timeOf(ms)).join(', ');
      const parts = [
        ...(leftOut.length > 0 ? [say('leeway.use_left_out', { cycles: leftOut.length })] : []),
        ...(moved.length > 0 ? [say('leeway.use_moved', { cycles: moved.length })] : []),
        ...(addedMs.length > 0 ? [say('leeway.use_added', { cycles: addedMs.length, at })] : []),
      ].join(', ');
      return say('leeway.use', { bed: bedName(plan, bedId), parts });
    })
    .join('; ');
}

/** The sums of a day's uses; null: nothing was used. */
export function sayUseSums(
  uses: readonly BedUse[],
  reader: Pick<Reader, 'language' | 'place'>,
): string | null {
  return uses.length === 0 ? null : sayTo(reader)('leeway.evening', sumsOfUses(uses));
}

function minutes(min: number): string {
  return `${Math.round(min)} min`;
}
