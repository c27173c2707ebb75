import { copyBalance } from './bed-balance.ts';
import { STEP_MIN, STEP_MS } from './demand.ts';
import { improvedPlacement } from './improved-placement.ts';
import { type PlacedCycle, type PlacementInput, placementPass } from './placement-pass.ts';
import type { SayMeasures } from './reasons.ts';
import type { PlacementBed } from './start-search.ts';
import { SLOT_MS } from './supply-timeline.ts';
import type { WindAnswer, WindQuestion } from './wind-answers.ts';

type DayInput = Omit<PlacementInput, 'slotMs'>;

/** On a bigger site the answers take too long to plan. */
const MOST_BEDS = 200;

/**
 * Asks about the wind where cycles stay in hours above the limit although each was moved into a
 * lull where its window had one; null when none stays. Every answer is really planned.
 *
 * @param input The day before its cycles were placed.
 * @param cycles As the plan has them.
 * @param placed The beds with the plan's balances.
 */
export function windQuestion(
  input: DayInput,
  { cycles, placed }: { cycles: readonly PlacedCycle[]; placed: readonly PlacementBed[] },
): WindQuestion | null {
  const { isWindyAt } = input;
  if (isWindyAt === undefined || input.beds.length > MOST_BEDS) return null;
  const windy = cycles.filter((cycle) => isWindyAt(cycle.startMs));
  const [first] = windy;
  if (first === undefined) return null;
  return {
    fromMs: first.startMs,
    toMs: Math.max(...windy.map(({ startMs, block }) => startMs + block.durationS * 1000)),
    bedIds: [...new Set(windy.map((cycle) => cycle.bedId))].sort(),
    runAnyway: answerOf(input, cycles, placed),
    skip: planned(input, (bed) => ({
      ...bed,
      keepOffs: [...bed.keepOffs, ...windyHours(bed, isWindyAt)],
    })),
    shorterAndOftener: planned(input, (bed) => ({ ...bed, doseCapMm: 0 })),
  };
}

/** The question in one sentence, with the cost of each answer. */
export function sayWindQuestion(
  question: WindQuestion,
  say: Pick<SayMeasures, 'timeOf' | 'depth'>,
): string {
  const cost = ({ cycles, driftMm, minutesBelowDryLimit }: WindAnswer) =>
    `${cycles} cycles, ${say.depth(driftMm)} to wind and air, ${minutesBelowDryLimit} min below the dry limit`;
  return [
    `Wind is above the limit from ${say.timeOf(question.fromMs)} to ${say.timeOf(question.toMs)} while ${question.bedIds.length} of the beds need water.`,
    `Run anyway, as planned: ${cost(question.runAnyway)}.`,
    `Skip: ${cost(question.skip)}.`,
    `Shorter and oftener: ${cost(question.shorterAndOftener)}.`,
  ].join(' ');
}

function planned(input: DayInput, change: (bed: PlacementBed) => PlacementBed): WindAnswer {
  const beds = input.beds.map((bed) => change({ ...bed, balance: copyBalance(bed.balance) }));
  const changed = { ...input, beds, slotMs: SLOT_MS };
  const { beds: laid } = improvedPlacement(changed, placementPass(changed));
  return answerOf(
    input,
    laid.flatMap((bed) => bed.cycles),
    laid.map((bed) => ({ ...bed.placing, balance: bed.balance })),
  );
}

function answerOf(
  { window }: DayInput,
  cycles: readonly Pick<PlacedCycle, 'block' | 'driftLossFraction'>[],
  beds: readonly PlacementBed[],
): WindAnswer {
  let minutesBelowDryLimit = 0;
  for (const { balance } of beds) {
    const { grid, demand, leftMm } = balance;
    for (let step = 0; step < grid.steps; step++) {
      const atMs = grid.startMs + step * STEP_MS;
      const isOpen = atMs >= window.firstStartMs && atMs < window.lastEndMs;
      const isLosing = (demand.demandMm[step] ?? 0) > 0;
      if (isOpen && isLosing && (leftMm[step] ?? 0) < 0) minutesBelowDryLimit += STEP_MIN;
    }
  }
  return {
    cycles: cycles.length,
    driftMm: cycles.reduce((sum, one) => sum + one.block.grossMm * one.driftLossFraction, 0),
    minutesBelowDryLimit,
  };
}

/** The windy steps of the day as keep-offs. */
function windyHours(
  { bed, balance: { grid } }: PlacementBed,
  isWindyAt: (instantMs: number) => boolean,
): { bedId: string; startMs: number; endMs: number; why: string }[] {
  const found: { bedId: string; startMs: number; endMs: number; why: string }[] = [];
  for (let step = 0; step < grid.steps; step++) {
    const startMs = grid.startMs + step * STEP_MS;
    if (!isWindyAt(startMs)) continue;
    const last = found.at(-1);
    if (last?.endMs === startMs) last.endMs += STEP_MS;
    else found.push({ bedId: bed.id, startMs, endMs: startMs + STEP_MS, why: 'wind' });
  }
  return found;
}
