import type { DueWindow } from './due-window.ts';
import type { MovedFor } from './moved-for.ts';
import type { Reason } from './reasons.ts';
import { type Found, latestStart, type PlacementBed } from './start-search.ts';

const WORTH_SAYING_MM = 0.05;
/** A minute more or less is the grid of starts, and no news. */
const WORTH_SAYING_MIN = 2;

const MOVED_FOR = {
  level: 'earlier_to_level',
  lull: 'earlier_for_lull',
  former: 'earlier_as_before',
  day: 'earlier_for_day',
} as const;

/** Why a placed cycle stands where it stands, its own need first. */
export function reasonsFor(input: {
  placing: PlacementBed;
  due: DueWindow;
  found: Found;
  drainedMm: number;
  slotMs: number;
  /** What it was moved for once all was safe. */
  movedFor?: MovedFor | null;
}): Reason[] {
  const { placing, due, found, drainedMm } = input;
  const reasons: Reason[] = [due.why];
  const candidate = found.candidate;
  if (candidate === null) return reasons;
  const latestMs = latestStart(due, input.slotMs);
  const movedMin = Math.round((candidate.startMs - latestMs) / 60_000);
  const by = input.movedFor ? null : found.obstacle;
  if (by !== null && by.kind !== 'day_over' && candidate.startMs !== latestMs) {
    const minutes = Math.abs(movedMin);
    const earlier = candidate.startMs < latestMs;
    if (by.kind === 'keep_off') {
      const off = placing.keepOffs.find((one) => one.endMs === by.endMs && one.why === by.why);
      reasons.push(
        earlier
          ? { code: 'before_keep_off', why: by.why, startMs: off?.startMs ?? latestMs }
          : { code: 'after_keep_off', why: by.why, endMs: by.endMs },
      );
    } else if (minutes >= WORTH_SAYING_MIN) {
      reasons.push({
        code: earlier ? 'earlier_for_supply' : 'later_for_supply',
        limit: by,
        minutes,
      });
    }
  }
  if (by === null && -movedMin >= WORTH_SAYING_MIN) {
    reasons.push({ code: MOVED_FOR[input.movedFor ?? 'day'], minutes: -movedMin });
  }
  const isLengthened = placing.stations.some((one) => one.runTimeMultiplierFraction > 1);
  if (isLengthened) {
    reasons.push({ code: 'for_driest', wasteMm: drainedMm });
  } else if (
    candidate.block.netMm > candidate.roomMm + WORTH_SAYING_MM &&
    drainedMm > WORTH_SAYING_MM
  ) {
    reasons.push({ code: 'rotation_exceeds_store', wasteMm: drainedMm });
  } else if (candidate.roomMm > placing.doseCapMm) {
    reasons.push({ code: 'held_at_cap', capMm: placing.doseCapMm });
  }
  return reasons;
}
