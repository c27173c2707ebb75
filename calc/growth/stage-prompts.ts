import { requireNumbers } from '../sprinkler/require-number.ts';
import { readySigns, type SeenSigns } from './stage-signs.ts';
import { nextStage, type Span, type Stage, type StageName } from './stages.ts';

const DAY_MS = 24 * 3_600_000;

/** Every prompt that a bed can give. */
export const PROMPT_CODES = [
  'window_ahead',
  'window_open',
  'window_closed',
  'too_cold',
  'usual_time',
  'late',
  'settling',
  'signs_seen',
] as const;

export type PromptCode = (typeof PROMPT_CODES)[number];

/** A reason for a person to look at a bed. It never moves a bed. */
export interface StagePrompt {
  code: PromptCode;
  /** One plain sentence. */
  text: string;
  /** True when it is time to look; false when it only tells where the bed stands. */
  look: boolean;
}

/**
 * Days since seeding at which beds commonly move on. Sourced: first green after 5 to 10 days, first
 * mow after 3 to 5 weeks (several extension and journal sources). Assumed between and after.
 */
export const USUAL_DAYS: Readonly<Record<StageName, { days: Span; basis: string }>> = {
  germination: { days: [5, 10], basis: 'first green in warm soil' },
  emergence: { days: [9, 18], basis: 'assumed' },
  tillering: { days: [21, 35], basis: 'seeding to first mow' },
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
    return [
      {
        code: 'settling',
        look: false,
        text: `Moved less than ${SETTLING_DAYS} days ago: look at the hottest hour before the next step.`,
      },
    ];
  }
  const signs = seen === undefined ? null : readySigns(stage.name, seen);
  if (signs !== null) return [signsPrompt(stage, signs)];
  if (stage.name === 'germination' && window !== null) return [windowPrompt(window, nowMs)];
  if (sownMs === null) return [];
  return daysPrompts(stage, (nowMs - sownMs) / DAY_MS);
}

function signsPrompt(stage: Stage, signs: string): StagePrompt {
  const next = nextStage(stage.name);
  const onward = next === null ? 'the hand-over' : next.replace('_', ' ');
  return {
    code: 'signs_seen',
    look: true,
    text: `Looks have found ${signs}: see whether the whole bed is ready for ${onward}.`,
  };
}

function windowPrompt(
  window: { earliestMs: number | null; latestMs: number | null },
  nowMs: number,
): StagePrompt {
  const { earliestMs, latestMs } = window;
  if (earliestMs === null) {
    return {
      code: 'too_cold',
      look: false,
      text: 'The seedbed stays too cold for anything to come: light cycles, no hurry.',
    };
  }
  if (nowMs < earliestMs) {
    return {
      code: 'window_ahead',
      look: false,
      text: 'The window of the first green is still ahead: root tips come before it.',
    };
  }
  if (latestMs === null || nowMs <= latestMs) {
    return {
      code: 'window_open',
      look: true,
      text: 'The window of the first green is open: look for root tips and a haze of green.',
    };
  }
  return {
    code: 'window_closed',
    look: true,
    text: 'The window of the first green has closed: when nothing shows, look for the cause (dry spells, wash, depth, the lot).',
  };
}

function daysPrompts(stage: Stage, days: number): StagePrompt[] {
  const { days: usual, basis } = USUAL_DAYS[stage.name];
  const [least, most] = usual;
  if (days < least) return [];
  const next = nextStage(stage.name);
  const onward = next === null ? 'the hand-over' : `the step to ${next.replace('_', ' ')}`;
  const span = `day ${least} to ${most} since seeding, ${basis}`;
  if (days <= most) {
    return [
      {
        code: 'usual_time',
        look: true,
        text: `Day ${Math.floor(days)}: the usual time for ${onward} (${span}). The signs decide, not the date.`,
      },
    ];
  }
  return [
    {
      code: 'late',
      look: true,
      text: `Day ${Math.floor(days)}: past the usual time for ${onward} (${span}). Look for the signs, or for what holds the bed back.`,
    },
  ];
}
