import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { DryMove } from '../../calc/schedule/dry-moves.ts';

const WIND_STEP_M_PER_S = 1;
const TEMP_STEP_K = 1;
const RAIN_STEP_MM = 0.5;
const STORE_STEP_MM = 0.05;

/** Why a plan was made anew: which bed, from when to when, and what changed. Pure. */
export function sayRevision(
  move: DryMove,
  plans: { before: DayPlan; after: DayPlan },
  given: {
    timeOf(instantMs: number): string;
    show: Pick<UnitDisplay, 'depth' | 'duration' | 'speed' | 'temp'>;
  },
): string {
  const { timeOf, show } = given;
  const { bedId, beforeMs, afterMs, moveMin } = move;
  const by = show.duration(Math.round(Math.abs(moveMin)) * 60);
  const when = `${bedId} dries ${by} ${moveMin < 0 ? 'earlier' : 'later'}, at ${timeOf(afterMs)} instead of ${timeOf(beforeMs)}`;
  return `${when}: ${whatChanged(move, plans, show).join(', ')}`;
}

function whatChanged(
  { moveMin, storeBeforeMm, storeAfterMm }: DryMove,
  { before, after }: { before: DayPlan; after: DayPlan },
  show: Pick<UnitDisplay, 'depth' | 'speed' | 'temp'>,
): string[] {
  const [was, is] = [before.weather, after.weather];
  // A later plan sees less of the day: what is lower in it may only be over. Before noon the day's
  // highest are still to come.
  const wholeAhead = after.madeAtMs < ((after.sunriseMs ?? 0) + (after.sunsetMs ?? 0)) / 2;
  const differs = (now: number, then: number, step: number) =>
    now - then >= step || (wholeAhead && then - now >= step);
  const said: string[] = [];
  if (differs(is.windMaxMPerS, was.windMaxMPerS, WIND_STEP_M_PER_S)) {
    said.push(`wind ${show.speed(is.windMaxMPerS)} instead of ${show.speed(was.windMaxMPerS)}`);
  }
  if (differs(is.highC, was.highC, TEMP_STEP_K)) {
    said.push(`high of ${show.temp(is.highC)} instead of ${show.temp(was.highC)}`);
  }
  if (differs(is.rainMm, was.rainMm, RAIN_STEP_MM)) {
    said.push(`rain ${show.depth(is.rainMm)} instead of ${show.depth(was.rainMm)}`);
  }
  if (Math.abs(storeAfterMm - storeBeforeMm) >= STORE_STEP_MM) {
    said.push(`now ${show.depth(storeAfterMm)} in store instead of ${show.depth(storeBeforeMm)}`);
  }
  const pace = moveMin < 0 ? 'faster' : 'slower';
  return said.length > 0 ? said : [`it loses water ${pace} than the plan before said`];
}
