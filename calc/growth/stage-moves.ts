import { requireNumbers } from '../input-range.ts';
import { nextStage, type Span, STAGE_NAMES, type Stage, type StageName } from './stages.ts';

/** A person's move of a bed, or of a slow patch of it, to a stage. */
export interface StageMove {
  atMs: number;
  who: string;
  why: string;
  bedId: string;
  /** Name of a patch that is slower than its bed; null: the bed itself. */
  patch: string | null;
  /** Part of the bed that the patch takes up; null: as said before, or not said. */
  shareFraction: number | null;
  stage: StageName;
}

/** Where a bed or a patch stands, and who put it there. */
export interface Standing {
  stage: StageName;
  /** The move that brought it here; null: the config's stage, never moved. */
  move: StageMove | null;
}

/** A patch that stands behind its bed. */
interface SlowPatch extends Standing {
  name: string;
  shareFraction: number | null;
}

/** Where a bed stands with its slow patches. */
export interface BedStanding extends Standing {
  bedId: string;
  /** The stage that the bed is watered by: the least advanced of the bed and its patches. */
  ruling: StageName;
  /** Patches behind the bed, least advanced first. */
  slowPatches: SlowPatch[];
}

/** Place of a stage in the order of the grow-in, from 0. */
export function stageOrder(stage: StageName): number {
  return STAGE_NAMES.indexOf(stage);
}

/**
 * Where a bed stands after a person's moves.
 *
 * The newest move of the bed and of each patch counts. A patch that has caught up with its bed no
 * longer shows. The younger part rules the water, because its seed layer dries first and costs most.
 *
 * @param asked the config's stage; moves of any bed, oldest first.
 * Source: common practice, slow patches of one bed may stand in another stage.
 */
export function bedStanding(asked: {
  bedId: string;
  configStage: StageName;
  moves: readonly StageMove[];
}): BedStanding {
  const { bedId, configStage } = asked;
  const own = asked.moves.filter((move) => move.bedId === bedId);
  const last = own.findLast((move) => move.patch === null) ?? null;
  const stage = last?.stage ?? configStage;
  const names = [...new Set(own.flatMap((move) => (move.patch === null ? [] : [move.patch])))];
  const slowPatches = names
    .flatMap((name): SlowPatch[] => {
      const moves = own.filter((move) => move.patch === name);
      const move = moves.at(-1);
      if (move === undefined || stageOrder(move.stage) >= stageOrder(stage)) return [];
      const shareFraction =
        moves.findLast((one) => one.shareFraction !== null)?.shareFraction ?? null;
      return [{ name, shareFraction, stage: move.stage, move }];
    })
    .toSorted((a, b) => stageOrder(a.stage) - stageOrder(b.stage));
  return { bedId, stage, move: last, ruling: slowPatches[0]?.stage ?? stage, slowPatches };
}

const DAY_MS = 24 * 3_600_000;

/** What the usual days of a stage are taken from. */
type DaysBasis = 'first_green' | 'assumed' | 'seeding_to_first_mow';

/** Facts of each prompt that a bed can give. */
interface PromptFacts {
  window_ahead: object;
  window_open: object;
  window_closed: object;
  too_cold: object;
  usual_time: { days: number; usualDays: Span; basis: DaysBasis; next: StageName | null };
  late: { days: number; usualDays: Span; basis: DaysBasis; next: StageName | null };
  settling: { settlingDays: number };
  signs_seen: MetSigns & { next: StageName | null };
}

type PromptCode = keyof PromptFacts;

export const PROMPT_CODES = [
  'window_ahead',
  'window_open',
  'window_closed',
  'too_cold',
  'usual_time',
  'late',
  'settling',
  'signs_seen',
] as const satisfies readonly PromptCode[];

/** A reason for a person to look at a bed. It never moves a bed. */
export type StagePrompt = {
  [Code in PromptCode]: {
    code: Code;
    /** True when it is time to look; false when it only tells where the bed stands. */
    look: boolean;
  } & PromptFacts[Code];
}[PromptCode];

/**
 * Days since seeding at which beds commonly move on. Sourced: first green after 5 to 10 days, first
 * mow after 3 to 5 weeks (several extension and journal sources). Assumed between and after.
 */
const USUAL_DAYS: Readonly<Record<StageName, { days: Span; basis: DaysBasis }>> = {
  germination: { days: [5, 10], basis: 'first_green' },
  emergence: { days: [9, 18], basis: 'assumed' },
  tillering: { days: [21, 35], basis: 'seeding_to_first_mow' },
  first_mow: { days: [28, 49], basis: 'assumed' },
  knitting: { days: [45, 75], basis: 'assumed' },
};

/** A step is looked at for so long before the next one (common practice: 2 to 3 days). */
const SETTLING_DAYS = 2;

/**
 * What a person may be asked to look at on a bed, from days since seeding, the warmth of the seedbed
 * and how long the bed has stood in its stage.
 *
 * In germination the warmth rules where it is known, because days say little in a cold spring; days
 * stand in where it is not. Measured signs come before both. A bed that was moved within two days is left to settle.
 *
 * @param asked the stage; seeding and the last move as epoch ms, null when not known; the window of
 *   the first green, null when not known; signs that looks have measured, left out when there are none.
 * @throws RangeError when now is not a finite instant.
 * Source: common practice; {@link USUAL_DAYS}.
 */
export function stagePrompts(asked: {
  stage: Stage;
  nowMs: number;
  sownMs: number | null;
  movedMs: number | null;
  window: { earliestMs: number | null; latestMs: number | null } | null;
  seen?: SeenSigns;
}): StagePrompt[] {
  const { stage, nowMs, sownMs, movedMs, window, seen } = asked;
  requireNumbers('stagePrompts', { nowMs: [nowMs, {}] });
  if (movedMs !== null && nowMs - movedMs < SETTLING_DAYS * DAY_MS) {
    return [{ code: 'settling', look: false, settlingDays: SETTLING_DAYS }];
  }
  const signs = seen === undefined ? null : readySigns(stage.name, seen);
  if (signs !== null) {
    return [{ code: 'signs_seen', look: true, ...signs, next: nextStage(stage.name) }];
  }
  if (stage.name === 'germination' && window !== null) return [windowPrompt(window, nowMs)];
  if (sownMs === null) return [];
  return daysPrompts(stage, (nowMs - sownMs) / DAY_MS);
}

function windowPrompt(
  { earliestMs, latestMs }: { earliestMs: number | null; latestMs: number | null },
  nowMs: number,
): StagePrompt {
  if (earliestMs === null) return { code: 'too_cold', look: false };
  if (nowMs < earliestMs) return { code: 'window_ahead', look: false };
  const isOpen = latestMs === null || nowMs <= latestMs;
  return { code: isOpen ? 'window_open' : 'window_closed', look: true };
}

function daysPrompts(stage: Stage, days: number): StagePrompt[] {
  const { days: usualDays, basis } = USUAL_DAYS[stage.name];
  const [least, most] = usualDays;
  if (days < least) return [];
  const facts = { days: Math.floor(days), usualDays, basis, next: nextStage(stage.name) };
  return [{ code: days <= most ? 'usual_time' : 'late', look: true, ...facts }];
}

/** Signs of growth as they were last measured on a bed; null: not looked at. */
export interface SeenSigns {
  coverFraction: number | null;
  leafMm: number | null;
  rootMm: number | null;
}

/** Least signs that say a bed is ready for the next stage, all that are named together. */
interface ReadySigns {
  coverFraction?: number;
  rootMm?: number;
}

/**
 * The signs of `STAGES` that a look can measure: the haze of green and the root tip, half of the
 * area, most of it with roots of 25 mm. What makes a bed ready later (firmness, a tug) nobody
 * measures with a rule. Source: common practice, as the stages themselves.
 */
const READY: Readonly<Partial<Record<StageName, readonly ReadySigns[]>>> = {
  germination: [{ coverFraction: 0.05 }, { rootMm: 1 }],
  emergence: [{ coverFraction: 0.5 }],
  tillering: [{ coverFraction: 0.8, rootMm: 25 }],
};

/** What was seen of the signs that were asked for; null: it was not one of them. */
interface MetSigns {
  coverFraction: number | null;
  rootMm: number | null;
}

/** What was seen that says a bed is ready for the next stage; null when nothing does. */
export function readySigns(stage: StageName, seen: SeenSigns): MetSigns | null {
  const met = READY[stage]?.find(
    ({ coverFraction, rootMm }) =>
      (coverFraction === undefined || (seen.coverFraction ?? 0) >= coverFraction) &&
      (rootMm === undefined || (seen.rootMm ?? 0) >= rootMm),
  );
  if (met === undefined) return null;
  return {
    coverFraction: met.coverFraction === undefined ? null : seen.coverFraction,
    rootMm: met.rootMm === undefined ? null : seen.rootMm,
  };
}
