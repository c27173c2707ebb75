import { type BedBalance, firstWithRoom } from './bed-balance.ts';
import type { DueWindow, WaterWindow } from './due-window.ts';

/**
 * The next cycle that a seedbed is owed because it gets so many a day at least, or null when none
 * fits: spread evenly over the hours of water, each only once the bed has lost what a cycle brings,
 * so that nothing drains for it and a cool day asks for fewer.
 *
 * Common practice (4 to 8 cycles a day before the first green), no trial: what rises from below may
 * keep a deep sand moist for longer, but few sands are known that well.
 *
 * @param asked.cycles 0: none is owed.
 * @param asked.cyclesDone Cycles of the day before this one.
 * @param asked.smallestNetMm Net depth of the bed's smallest cycle.
 */
export function leastCycleDue(asked: {
  balance: BedBalance;
  cycles: number;
  cyclesDone: number;
  fromMs: number;
  smallestNetMm: number;
  window: WaterWindow;
  durationMs: number;
}): DueWindow | null {
  const { balance, cycles, cyclesDone, fromMs, smallestNetMm, window, durationMs } = asked;
  if (cycles === 0) return null;
  const { firstStartMs, lastEndMs: closesMs } = window;
  const spanMs = (closesMs - firstStartMs) / cycles;
  // One in the middle of each span: the first half a span after the hours open.
  const wantedMs = firstStartMs + (cyclesDone + 1 / 2) * spanMs;
  const openMs = Math.max(fromMs, firstStartMs);
  const roomFromMs = firstWithRoom(balance, smallestNetMm, Math.max(openMs, wantedMs));
  if (roomFromMs === null || roomFromMs > closesMs - durationMs) return null;
  return { openMs: roomFromMs, earliestMs: roomFromMs, latestMs: roomFromMs };
}
