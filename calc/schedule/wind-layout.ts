import { adoptBalance, copyBalance, seriesOf } from './bed-balance.ts';
import type { GivenWindAnswer, WindAnswer, WindChoice, WindQuestion } from './day-plan.ts';
import { STEP_MIN, STEP_MS } from './demand.ts';
import type { FormerCycle } from './former-places.ts';
import { type Placement, placeCycles } from './placement.ts';
import type { PlacedCycle, PlacementInput } from './placement-pass.ts';
import type { KeepOff } from './site.ts';
import type { PlacementBed } from './start-search.ts';

type DayInput = Omit<PlacementInput, 'slotMs'>;

/** On a bigger site the answers take too long to plan. */
const MOST_BEDS = 200;
/** Starts tried at most for an answer that is only told. */
const TRIES_AN_ANSWER = 2_000_000;

/** The day's cycles as they are laid, and what is asked about the wind. */
export interface WindLayout extends Placement {
  /** The day as the layout met it: before its cycles were placed, with balances of its own. */
  unplaced: PlacementBed[];
  /** Null where no cycle stays in the wind, and in a sketch. */
  question: WindQuestion | null;
}

/**
 * Lays the day's cycles. Where cycles stay in hours above the wind limit although each was moved
 * into a lull where its window had one, a person is asked: every answer is laid to the end, and the
 * one that was given is the layout, so that it costs what was told. Without an answer, and on a day
 * that asks nothing, the cycles run anyway.
 *
 * The answer rules the cycles that are placed here alone: those that stand already, a rotation that
 * a person asked for and the exceptions of the night are outside it. The beds' balances are brought
 * up to date in place.
 *
 * @param given.isSketch True leaves the question out; the cycles are the same.
 */
export function layInWind(
  day: DayInput,
  given: { former: readonly FormerCycle[]; answer: GivenWindAnswer | null; isSketch: boolean },
): WindLayout {
  const { former, answer, isSketch } = given;
  const unplaced = day.beds.map((bed) => ({ ...bed, balance: copyBalance(bed.balance) }));
  const anyway = placeCycles({ ...day, former });
  const windy = windyCycles(day, anyway.cycles);
  const [first] = windy;
  if (first === undefined) return { ...anyway, unplaced, question: null };

  const chosen = answer?.choice ?? 'run_anyway';
  const laidAs = (choice: Exclude<WindChoice, 'run_anyway'>) => {
    const changed = unplaced.map((bed) => changedFor(choice, bed, day));
    const beds = changed.map((bed) => ({ ...bed, balance: copyBalance(bed.balance) }));
    // The chosen one is the plan, and is worked out like any other.
    const tries = choice === chosen ? {} : { tries: { most: TRIES_AN_ANSWER } };
    return { ...placeCycles({ ...day, beds, former, ...tries }), beds, unplaced: changed };
  };
  const skipped = !isSketch || chosen === 'skip' ? laidAs('skip') : null;
  const shorter =
    !isSketch || chosen === 'shorter_and_oftener' ? laidAs('shorter_and_oftener') : null;
  const question =
    isSketch || skipped === null || shorter === null
      ? null
      : {
          fromMs: first.startMs,
          toMs: Math.max(...windy.map(({ startMs, block }) => startMs + block.durationS * 1000)),
          bedIds: [...new Set(windy.map((cycle) => cycle.bedId))].sort(),
          runAnyway: costOf(day, anyway, day.beds),
          skip: costOf(day, skipped, skipped.beds),
          shorterAndOftener: costOf(day, shorter, shorter.beds),
          ...(answer === null ? {} : { answered: answer }),
        };
  const laid = { run_anyway: null, skip: skipped, shorter_and_oftener: shorter }[chosen];
  if (laid === null) return { ...anyway, unplaced, question };
  for (const [index, bed] of day.beds.entries()) {
    const balance = laid.beds[index]?.balance;
    if (balance !== undefined) adoptBalance(bed.balance, balance);
  }
  return { ...laid, question };
}

/** Cycles that start in the wind, in order of time; none where nobody is asked. */
function windyCycles(
  { isWindyAt, beds }: DayInput,
  cycles: readonly PlacedCycle[],
): readonly PlacedCycle[] {
  if (isWindyAt === undefined || beds.length > MOST_BEDS) return [];
  return cycles.filter((cycle) => isWindyAt(cycle.startMs));
}

function changedFor(
  choice: Exclude<WindChoice, 'run_anyway'>,
  bed: PlacementBed,
  { isWindyAt }: DayInput,
): PlacementBed {
  if (choice === 'shorter_and_oftener') return { ...bed, doseCapMm: 0 };
  if (isWindyAt === undefined) return bed;
  return { ...bed, keepOffs: [...bed.keepOffs, ...windyHours(bed, isWindyAt)] };
}

function costOf(
  { window }: DayInput,
  { cycles, isSettled }: Pick<Placement, 'cycles' | 'isSettled'>,
  beds: readonly PlacementBed[],
): WindAnswer {
  let minutesBelowDryLimit = 0;
  for (const { balance } of beds) {
    const { grid, demand } = balance;
    const { marginMm } = seriesOf(balance);
    for (let step = 0; step < grid.steps; step++) {
      const atMs = grid.startMs + step * STEP_MS;
      const isOpen = atMs >= window.firstStartMs && atMs < window.lastEndMs;
      const isLosing = (demand.demandMm[step] ?? 0) > 0;
      if (isOpen && isLosing && (marginMm[step] ?? 0) < 0) minutesBelowDryLimit += STEP_MIN;
    }
  }
  return {
    cycles: cycles.length,
    driftMm: cycles.reduce((sum, one) => sum + one.block.grossMm * one.driftLossFraction, 0),
    minutesBelowDryLimit,
    ...(isSettled ? {} : { isAtMost: true }),
  };
}

/** The windy steps of the day as keep-offs. */
function windyHours(
  { bed, balance: { grid } }: PlacementBed,
  isWindyAt: (instantMs: number) => boolean,
): KeepOff[] {
  const found: KeepOff[] = [];
  for (let step = 0; step < grid.steps; step++) {
    const startMs = grid.startMs + step * STEP_MS;
    if (!isWindyAt(startMs)) continue;
    const last = found.at(-1);
    if (last?.endMs === startMs) last.endMs += STEP_MS;
    else found.push({ bedId: bed.id, startMs, endMs: startMs + STEP_MS, why: '', kind: 'wind' });
  }
  return found;
}
