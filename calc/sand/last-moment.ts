import {
  type AppliedWater,
  blankVerdict,
  judgedUntil,
  type Trial,
  type Verdict,
} from './referee.ts';
import { copyColumn } from './richards-column.ts';
import type { Column } from './richards-step.ts';

const LOOK_MS = 60_000;

/** One rotation of the heads on a bed. */
export interface Rotation {
  durationMs: number;
  /** Net depth of a rotation that starts then, mm. */
  netMmAt(startMs: number): number;
}

/**
 * The watering that no plan made ahead can reach: the referee looks at the column itself every
 * minute of daylight, and gives one rotation at the last of them before the bed would be dry. Tells
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
      atMs = judgedUntil(column, trial, run, verdict);
      continue;
    }
    const before = copyColumn(column);
    const counted = { ...verdict };
    const untilMs = Math.min(atMs + LOOK_MS, light?.endMs ?? trial.toMs, trial.toMs);
    judgedUntil(column, trial, { atMs, untilMs, rateMmPerH: 0, stopAtDry: true }, verdict);
    if (verdict.dryMin === counted.dryMin) {
      atMs = untilMs;
      continue;
    }
    column = before;
    Object.assign(verdict, counted);
    const endMs = Math.min(atMs + rotation.durationMs, trial.toMs);
    const netMm = (rotation.netMmAt(atMs) * (endMs - atMs)) / rotation.durationMs;
    const rateMmPerH = (netMm * 3_600_000) / (endMs - atMs);
    judgedUntil(column, trial, { atMs, untilMs: endMs, rateMmPerH, stopAtDry: false }, verdict);
    applied.push({ startMs: atMs, endMs, netMm });
    atMs = endMs;
  }
  return { applied, verdict };
}
