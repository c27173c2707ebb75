import type { BedBalance } from './bed-balance.ts';
import { firstAtRiskMs, firstDryMs, firstWithRoom } from './bed-moisture.ts';

/** The hours of the site day within which water may run. */
export interface WaterWindow {
  firstStartMs: number;
  lastEndMs: number;
  /** First start that the next site day allows: what is given today must last until then. */
  nextFirstStartMs: number;
  /** Sunrise; left out: daylight counts by what the beds lose. */
  sunriseMs?: number;
  /** Sunset, after which a dry seedbed counts for less; left out: it counts for less at once. */
  sunsetMs?: number;
}

/** When a bed's next cycle is owed. */
export interface DueWindow {
  /** No start before this, whatever the store: the day's first start, or the rest's end. */
  openMs: number;
  /** From here on a dose fits into the store without draining. */
  earliestMs: number;
  /** By here the accepted share of the futures is dry. */
  latestMs: number;
}

/**
 * The next cycle that a bed is owed, or null when its store lasts until tomorrow's first start.
 *
 * @param input.fromMs No cycle may start before this (the plan's start, or the last cycle's end
 *   plus the bed's rest).
 * @param input.smallestNetMm Net depth of the bed's smallest cycle: it must fit before a cycle may
 *   be moved earlier, so that moving never drains water.
 */
export function nextDue(input: {
  balance: BedBalance;
  smallestNetMm: number;
  fromMs: number;
  window: WaterWindow;
  /** Length of the cycle, and the wait of its last station. */
  durationMs: number;
  leadMs: number;
}): DueWindow | null {
  const { balance, smallestNetMm, fromMs, window, durationMs, leadMs } = input;
  const riskAtMs = firstAtRiskMs(balance, fromMs);
  if (riskAtMs === null || riskAtMs >= window.nextFirstStartMs) return null;

  const openMs = Math.max(fromMs, window.firstStartMs);
  const closeMs = window.lastEndMs - durationMs;
  if (openMs > closeMs) return null;
  const roomFromMs = firstWithRoom(balance, smallestNetMm, openMs);

  if (riskAtMs - leadMs > closeMs) {
    // It would run dry in the night: the day's last start is the time to carry it over, but only
    // when the store has room for what one rotation brings. If it would be dry while the sun is up,
    // some of a rotation lost is the smaller loss.
    const dryAtMs = firstDryMs(balance, fromMs);
    const isDryInLight = dryAtMs !== null && dryAtMs < (window.sunsetMs ?? 0);
    if (!isDryInLight && (roomFromMs === null || roomFromMs > closeMs)) return null;
    return {
      openMs,
      earliestMs: Math.min(roomFromMs ?? closeMs, closeMs),
      latestMs: closeMs,
    };
  }

  const latestMs = Math.max(openMs, riskAtMs - leadMs);
  return { openMs, earliestMs: Math.min(latestMs, roomFromMs ?? latestMs), latestMs };
}

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
