import { type AppliedWater, referenceVerdict } from '../../../../calc/sand/reference-column.ts';
import { copyColumn } from '../../../../calc/sand/richards-column.ts';
import type { Column } from '../../../../calc/sand/richards-step.ts';
import { morningOf } from '../../../../daemon/site/config/morning.ts';
import type { SeasonCase } from '../season-case.ts';

/** What one day came to, from its morning to the next. */
export interface DayVerdict {
  dryMin: number;
  daylightMin: number;
  netMm: number;
  drainedMm: number;
  cycles: number;
}

/** A day's morning, and the bed as the water so far has left it. */
export interface Morning {
  fromMs: number;
  toMs: number;
  column: Column;
}

/**
 * Runs a case's water through its column, day after day.
 *
 * @param onMorning told of each morning before its day is run; its column may be changed
 */
export function dayVerdicts(
  { column: start, trial, days, config }: SeasonCase,
  applied: readonly AppliedWater[],
  onMorning: (morning: Morning, day: number) => void = () => {},
): DayVerdict[] {
  const column = copyColumn(start);
  const rule = { ...config, ...config.site };
  const mornings = days.map((day) => morningOf(day, rule));
  return mornings.map((fromMs, day) => {
    const toMs = mornings[day + 1] ?? trial.toMs;
    onMorning({ fromMs, toMs, column: copyColumn(column) }, day);
    const verdict = referenceVerdict(column, { ...trial, fromMs, toMs }, applied);
    const { dryMin, daylightMin, netMm, drainedMm } = verdict;
    const cycles = applied.filter((one) => one.startMs >= fromMs && one.startMs < toMs).length;
    return { dryMin, daylightMin, netMm, drainedMm, cycles };
  });
}
