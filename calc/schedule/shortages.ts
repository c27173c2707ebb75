import type { BedBalance } from './bed-balance.ts';
import type { Shortage } from './day-plan.ts';
import { STEP_MIN, STEP_MS } from './demand.ts';
import type { WaterWindow } from './due-window.ts';
import type { Blocked } from './placement-pass.ts';
import { type SayMeasures, sayLimit } from './reasons.ts';

/** Shorter dips below the reserve are within what the five-minute steps can tell apart. */
const WORTH_NAMING_MIN = 10;
/** A limit that a cycle met this long before a shortage is taken as its cause. */
const SAME_CAUSE_MS = 30 * 60_000;

/** From sunrise to sunset. */
export interface Daylight {
  startMs: number;
  endMs: number;
}

interface ShortInput {
  bedId: string;
  balance: BedBalance;
  reserveFraction: number;
  daylight: Daylight;
}

/**
 * Stretches of daylight in which a bed stays below its reserve although water was owed, each with
 * the limit that stood in the way.
 */
export function shortagesOf(
  input: ShortInput & {
    window: WaterWindow;
    blocked: readonly Blocked[];
    say: Pick<SayMeasures, 'timeOf'>;
  },
): Shortage[] {
  return shortStretches(input).map((one) => ({ ...one, because: sayWhy(one, input) }));
}

/** The same stretches, without a word of why. */
export function shortStretches(input: ShortInput): Shortage[] {
  const { bedId, balance, reserveFraction, daylight } = input;
  const { grid, leftMm, reserveBaseMm } = balance;
  const found: Shortage[] = [];
  let open: Shortage | null = null;
  for (let step = 0; step <= grid.steps; step++) {
    const atMs = grid.startMs + step * STEP_MS;
    const store = leftMm[step] ?? 0;
    const reserveMm = reserveFraction * reserveBaseMm;
    // A store that dips to its reserve just as water arrives is the plan, not a shortage.
    const short =
      step < grid.steps &&
      atMs >= daylight.startMs &&
      atMs < daylight.endMs &&
      store < reserveMm * 0.9;
    if (short) {
      open ??= {
        bedId,
        fromMs: atMs,
        toMs: atMs,
        minutesBelowReserve: 0,
        minutesBelowDryLimit: 0,
        lowestStoreMm: store,
        because: '',
      };
      open.toMs = atMs + STEP_MS;
      open.minutesBelowReserve += STEP_MIN;
      if (store < 0) open.minutesBelowDryLimit += STEP_MIN;
      open.lowestStoreMm = Math.min(open.lowestStoreMm, store);
    } else if (open !== null) {
      if (open.minutesBelowReserve >= WORTH_NAMING_MIN) found.push(open);
      open = null;
    }
  }
  return found;
}

function sayWhy(
  shortage: Shortage,
  context: {
    blocked: readonly Blocked[];
    window: WaterWindow;
    say: Pick<SayMeasures, 'timeOf'>;
  },
): string {
  const { blocked, window, say } = context;
  // What stood in the way once explains a shortage only while it lasts.
  const by = blocked.findLast(
    (one) =>
      one.bedId === shortage.bedId &&
      one.by.kind !== 'day_over' &&
      one.atMs <= shortage.toMs &&
      (one.by.kind === 'allowance' ||
        one.by.kind === 'season_allowance' ||
        (one.by.kind === 'keep_off'
          ? one.by.endMs >= shortage.fromMs
          : one.atMs >= shortage.fromMs - SAME_CAUSE_MS)),
  )?.by;
  if (by?.kind === 'keep_off') return `${by.why} keeps water off until ${say.timeOf(by.endMs)}`;
  if (by !== undefined && by.kind !== 'day_over') return sayLimit(by);
  if (shortage.fromMs < window.firstStartMs) {
    return `water may not start before ${say.timeOf(window.firstStartMs)}`;
  }
  if (shortage.toMs > window.lastEndMs) {
    return `water may not run after ${say.timeOf(window.lastEndMs)}`;
  }
  if (blocked.some((one) => one.bedId === shortage.bedId && one.by.kind === 'day_over')) {
    return 'the hours in which water may run are over';
  }
  return 'one dose does not last for the least rest between two cycles';
}
