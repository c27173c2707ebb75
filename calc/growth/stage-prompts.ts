import { requireNumbers } from '../sprinkler/require-number.ts';
import { type MetSigns, readySigns, type SeenSigns } from './stage-signs.ts';
import { nextStage, type Span, type Stage, type StageName } from './stages.ts';

const DAY_MS = 24 * 3_600_000;

/** What the usual days of a stage are taken from. */
export type DaysBasis = 'first_green' | 'assumed' | 'seeding_to_first_mow';

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

export type PromptCode = keyof PromptFacts;

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
export const USUAL_DAYS: Readonly<Record<StageName, { days: Span; basis: DaysBasis }>> = {
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
