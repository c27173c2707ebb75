import { copyBalance } from './bed-balance.ts';
import type { Remedy, RemedyChange, Shortage } from './day-plan.ts';
import type { SearchBudget } from './gap-filling.ts';
import { improvedPlacement, pathsOf } from './improved-placement.ts';
import { placeCycles } from './placement.ts';
import { type PlacementInput, placementPass } from './placement-pass.ts';
import {
  type Daylight,
  type ObstructedStart,
  type StartObstruction,
  shortStretches,
} from './shortages.ts';
import type { PlacementBed } from './start-search.ts';
import { SLOT_MS } from './supply-timeline.ts';

/** Plans tried at most for one day with shortages; fewer on a big site, where each takes longer. */
const MOST_REPLANS = 8;
const BEDS_REPLANNED = 400;
/** What a change is worth shows without laying every bed anew. */
const PATHS_A_REPLAN = 8;
/** Starts tried at most in all whole plans with a change; what could not be tried to its end is not told. */
const MOST_TRIES = 4_000_000;
const SHIFT_MIN = 30;
const SHIFT_MS = SHIFT_MIN * 60_000;
const LARGER_PCT = 10;
const LARGER_FACTOR = 1 + LARGER_PCT / 100;
/** A remedy that saves less is not worth its trouble. */
const LEAST_SAVED_MIN = 10;

type DayInput = Omit<PlacementInput, 'slotMs'>;

/** A change that a person could make, and the day as it would then be planned. */
interface Tried {
  told: RemedyChange;
  /** The one bed that it is told of; left out: any. */
  bedId?: string;
  change(input: DayInput): DayInput;
}

/**
 * What would help each short bed, by bed id: the day is really planned anew with one
 * change after the other, the least trouble first, and the first that ends the shortage is named,
 * else the one that saves most of it.
 *
 * @param input The day before its cycles were placed, with balances of its own.
 */
export function remedies(
  input: DayInput,
  found: {
    shortages: readonly Shortage[];
    obstructed: readonly ObstructedStart[];
    placed: readonly PlacementBed[];
    daylight: Daylight;
  },
): Map<string, Remedy> {
  const short = new Set(found.shortages.map((one) => one.bedId));
  const replans = Math.min(
    MOST_REPLANS,
    Math.max(1, Math.floor(BEDS_REPLANNED / sumOf(input.beds, ({ balance }) => pathsOf(balance)))),
  );
  const before = minutesOf(found.placed, found.daylight);
  const best = new Map<string, { minutes: number; tried: Tried }>();
  for (const tried of worthTrying(input, found).slice(0, replans)) {
    if ([...short].every((bedId) => best.get(bedId)?.minutes === 0)) break;
    const changed = { ...tried.change(input), slotMs: SLOT_MS };
    const day = improvedPlacement(changed, placementPass(changed), PATHS_A_REPLAN);
    const placed = day.beds.map(({ placing, balance }) => ({ ...placing, balance }));
    for (const [bedId, minutes] of minutesOf(placed, found.daylight)) {
      if (!short.has(bedId) || (tried.bedId ?? bedId) !== bedId) continue;
      const saved = (before.get(bedId) ?? 0) - minutes;
      const standing = best.get(bedId);
      if (saved < LEAST_SAVED_MIN) continue;
      if (standing === undefined || minutes < standing.minutes) {
        best.set(bedId, { minutes, tried });
      }
    }
  }
  const whole = wholePlans(input, found.daylight);
  return new Map(
    [...best].flatMap(([bedId, { tried }]): [string, Remedy][] => {
      const minutes = whole(tried)?.get(bedId);
      if (minutes === undefined) return [];
      const savedMin = (before.get(bedId) ?? 0) - minutes;
      if (minutes > 0 && savedMin < LEAST_SAVED_MIN) return [];
      return [[bedId, { change: tried.told, savedMin, isCure: minutes === 0 }]];
    }),
  );
}

/**
 * What is told is what a whole plan with the change would have: minutes of each bed's shortages, null
 * where the work that it may take has run out.
 */
function wholePlans(
  input: DayInput,
  daylight: Daylight,
): (tried: Tried) => ReadonlyMap<string, number> | null {
  const known = new Map<Tried, ReadonlyMap<string, number> | null>();
  const tries = { most: MOST_TRIES };
  return (tried) => {
    const standing = known.get(tried);
    if (standing !== undefined) return standing;
    const beds = tries.most > 0 ? placedWith(input, tried, tries) : null;
    const minutes = beds === null ? null : minutesOf(beds, daylight);
    known.set(tried, minutes);
    return minutes;
  };
}

/** The beds with the water of a whole plan that has the change; null where it is not worked out to its end. */
function placedWith(
  input: DayInput,
  { change }: Tried,
  tries: SearchBudget,
): readonly PlacementBed[] | null {
  const changed = change(input);
  const beds = changed.beds.map((bed) => ({ ...bed, balance: copyBalance(bed.balance) }));
  return placeCycles({ ...changed, beds, tries }).isSettled ? beds : null;
}

/** The shortages, each with what would help it where something does. */
export function withRemedies(
  shortages: readonly Shortage[],
  input: DayInput,
  found: {
    obstructed: readonly ObstructedStart[];
    placed: readonly PlacementBed[];
    daylight: Daylight;
  },
): Shortage[] {
  // A dip below the reserve that never reaches the dry limit costs nothing worth a change of rules.
  const dry = shortages.filter((one) => one.minutesBelowDryLimit > 0);
  if (dry.length === 0) return [...shortages];
  const byBed = remedies(input, { ...found, shortages: dry });
  return shortages.map((one) => ({ ...one, remedy: byBed.get(one.bedId) ?? null }));
}

function sumOf<T>(items: readonly T[], pick: (item: T) => number): number {
  return items.reduce((sum, item) => sum + pick(item), 0);
}

/** Minutes of each bed's shortages: what a plan would tell of them. */
function minutesOf(beds: readonly PlacementBed[], daylight: Daylight): Map<string, number> {
  return new Map(
    beds.map(({ bed, balance }) => [
      bed.id,
      sumOf(shortStretches({ bedId: bed.id, balance, daylight }), (one) => one.minutesBelowReserve),
    ]),
  );
}

/** The changes that touch a limit which stood in the way of a short bed, the least trouble first. */
function worthTrying(
  { window }: DayInput,
  {
    shortages,
    obstructed,
  }: { shortages: readonly Shortage[]; obstructed: readonly ObstructedStart[] },
): Tried[] {
  const short = new Set(shortages.map((one) => one.bedId));
  const ways = obstructed.filter((one) => short.has(one.bedId));
  const met = (kind: StartObstruction['kind']) => ways.some((one) => one.by.kind === kind);
  const found: Tried[] = [];
  const shifted = new Set<string>();
  for (const { bedId, by } of ways) {
    // Frost, permits, labels and stops are not moved: only what a person has booked.
    if (by.kind !== 'keep_off' || by.off.kind !== undefined) continue;
    // What lasts the day out has no end to move: a hold, or a keep-off that a person has to end.
    if (by.endMs >= window.lastEndMs) continue;
    const key = `${bedId} ${by.off.why} ${by.endMs}`;
    if (shifted.has(key)) continue;
    shifted.add(key);
    found.push(
      shiftOf(bedId, { why: by.off.why, endMs: by.endMs }, 'keep_off_later'),
      shiftOf(bedId, { why: by.off.why, endMs: by.endMs }, 'keep_off_earlier'),
    );
  }
  if (shortages.some((one) => one.fromMs < window.firstStartMs) || ways.length > 0) {
    const firstStartMs = window.firstStartMs - SHIFT_MS;
    const nextFirstStartMs = window.nextFirstStartMs - SHIFT_MS;
    found.push({
      told: { kind: 'first_start_earlier', minutes: SHIFT_MIN },
      change: (input) => ({
        ...input,
        window: { ...input.window, firstStartMs, nextFirstStartMs },
      }),
    });
  }
  if (shortages.some((one) => one.toMs > window.lastEndMs)) {
    const lastEndMs = window.lastEndMs + SHIFT_MS;
    found.push({
      told: { kind: 'last_end_later', minutes: SHIFT_MIN },
      change: (input) => ({ ...input, window: { ...input.window, lastEndMs } }),
    });
  }
  if (met('stations_at_once')) {
    found.push({
      told: { kind: 'one_more_station' },
      change: (input) => withLimits(input, { stationsAtOnce: input.limits.stationsAtOnce + 1 }),
    });
  }
  if (met('allowance')) {
    found.push({
      told: { kind: 'larger_allowance', byPct: LARGER_PCT },
      change: (input) =>
        withLimits(input, { dayAllowanceL: (input.limits.dayAllowanceL ?? 0) * LARGER_FACTOR }),
    });
  }
  if (met('pump')) {
    found.push({
      told: { kind: 'stronger_pump', byPct: LARGER_PCT },
      change: (input) =>
        withLimits(input, { pumpFlowLPerMin: input.limits.pumpFlowLPerMin * LARGER_FACTOR }),
    });
  }
  return found;
}

function shiftOf(
  bedId: string,
  by: { why: string; endMs: number },
  kind: 'keep_off_later' | 'keep_off_earlier',
): Tried {
  const shiftMs = kind === 'keep_off_later' ? SHIFT_MS : -SHIFT_MS;
  const shift = (bed: PlacementBed): PlacementBed => ({
    ...bed,
    keepOffs: bed.keepOffs.map((off) =>
      off.kind === undefined && off.why === by.why && off.endMs === by.endMs
        ? { ...off, startMs: off.startMs + shiftMs, endMs: off.endMs + shiftMs }
        : off,
    ),
  });
  return {
    told: { kind, why: by.why, minutes: SHIFT_MIN },
    bedId,
    change: (input) => ({
      ...input,
      beds: input.beds.map((bed) => (bed.bed.id === bedId ? shift(bed) : bed)),
    }),
  };
}

function withLimits(input: DayInput, limits: Partial<DayInput['limits']>): DayInput {
  return { ...input, limits: { ...input.limits, ...limits } };
}
