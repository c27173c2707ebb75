import { describe, expect, it } from 'vitest';
import {
  PROMPT_CODES,
  type SeenSigns,
  type StagePrompt,
  stagePrompts,
} from '../../../calc/growth/stage-moves.ts';
import { STAGES, type StageName } from '../../../calc/growth/stages.ts';

const DAY_MS = 24 * 3_600_000;
const NOW_MS = Date.parse('2026-07-11T06:00:00Z');

interface Case {
  stage?: StageName;
  sownDaysAgo?: number | null;
  movedDaysAgo?: number | null;
  window?: readonly [number | null, number | null] | null;
  seen?: Partial<SeenSigns>;
}

function prompts({
  stage = 'germination',
  sownDaysAgo = 8,
  movedDaysAgo = null,
  window = null,
  seen = {},
}: Case) {
  const ago = (days: number | null) => (days === null ? null : NOW_MS - days * DAY_MS);
  const ahead = (days: number | null) => (days === null ? null : NOW_MS + days * DAY_MS);
  return stagePrompts({
    stage: STAGES[stage],
    nowMs: NOW_MS,
    sownMs: ago(sownDaysAgo),
    movedMs: ago(movedDaysAgo),
    window: window === null ? null : { earliestMs: ahead(window[0]), latestMs: ahead(window[1]) },
    seen: { coverFraction: null, leafMm: null, rootMm: null, ...seen },
  });
}

const CASES: [StagePrompt['code'] | null, boolean, Case][] = [
  ['window_ahead', false, { window: [1, 4] }],
  ['window_open', true, { window: [-1, 4] }],
  ['window_open', true, { window: [-1, null] }],
  ['window_closed', true, { window: [-4, -1] }],
  // It is open in its first instant and in its last.
  ['window_open', true, { window: [0, 4] }],
  ['window_open', true, { window: [-4, 0] }],
  // A window is that of the first green alone.
  ['usual_time', true, { stage: 'emergence', sownDaysAgo: 10, window: [1, 4] }],
  // Signs that looks have measured come before warmth and days.
  ['signs_seen', true, { window: [1, 4], seen: { rootMm: 2 } }],
  ['signs_seen', true, { window: [1, 4], seen: { coverFraction: 0.1 } }],
  ['window_ahead', false, { window: [1, 4], seen: { leafMm: 3 } }],
  ['signs_seen', true, { stage: 'emergence', seen: { coverFraction: 0.5 } }],
  [null, false, { stage: 'tillering', seen: { coverFraction: 0.9 } }],
  ['signs_seen', true, { stage: 'tillering', seen: { coverFraction: 0.9, rootMm: 30 } }],
  ['settling', false, { movedDaysAgo: 1, seen: { rootMm: 2 } }],
  ['too_cold', false, { window: [null, null], sownDaysAgo: 20 }],
  // Without warmth the days stand in: first green after 5 to 10 days.
  [null, false, { sownDaysAgo: 4.9 }],
  ['usual_time', true, { sownDaysAgo: 5 }],
  ['usual_time', true, { sownDaysAgo: 10 }],
  ['late', true, { sownDaysAgo: 10.1 }],
  // Seeding to first mow takes 3 to 5 weeks.
  [null, false, { stage: 'tillering', sownDaysAgo: 20 }],
  ['usual_time', true, { stage: 'tillering', sownDaysAgo: 21 }],
  ['late', true, { stage: 'tillering', sownDaysAgo: 36 }],
  ['usual_time', true, { stage: 'tillering', sownDaysAgo: 35 }],
  [null, false, { stage: 'tillering', sownDaysAgo: null }],
  // The others are assumed.
  [null, false, { stage: 'emergence', sownDaysAgo: 8.9 }],
  ['usual_time', true, { stage: 'emergence', sownDaysAgo: 9 }],
  ['usual_time', true, { stage: 'emergence', sownDaysAgo: 18 }],
  ['late', true, { stage: 'emergence', sownDaysAgo: 18.1 }],
  [null, false, { stage: 'first_mow', sownDaysAgo: 27.9 }],
  ['usual_time', true, { stage: 'first_mow', sownDaysAgo: 28 }],
  ['usual_time', true, { stage: 'first_mow', sownDaysAgo: 49 }],
  ['late', true, { stage: 'first_mow', sownDaysAgo: 49.1 }],
  [null, false, { stage: 'knitting', sownDaysAgo: 44.9 }],
  ['usual_time', true, { stage: 'knitting', sownDaysAgo: 45 }],
  ['usual_time', true, { stage: 'knitting', sownDaysAgo: 75 }],
  ['late', true, { stage: 'knitting', sownDaysAgo: 75.1 }],
  ['settling', false, { stage: 'tillering', sownDaysAgo: 30, movedDaysAgo: 1.9 }],
  ['usual_time', true, { stage: 'tillering', sownDaysAgo: 30, movedDaysAgo: 2 }],
];

describe('stagePrompts', () => {
  it.each(CASES)('%s, look %s: %j', (code, look, given) => {
    const found = prompts(given);
    expect(found.map((one) => one.code)).toEqual(code === null ? [] : [code]);
    expect(found.some((one) => one.look)).toBe(look);
  });

  it('has a case for every code', () => {
    expect([...new Set(CASES.flatMap(([code]) => code ?? []))].sort()).toEqual(
      [...PROMPT_CODES].sort(),
    );
  });

  it('names the usual days, what they rest on, and what comes next', () => {
    const [usual] = prompts({ stage: 'tillering', sownDaysAgo: 25 });
    expect(usual).toEqual({
      code: 'usual_time',
      look: true,
      days: 25,
      usualDays: [21, 35],
      basis: 'seeding_to_first_mow',
      next: 'first_mow',
    });
    expect(prompts({ stage: 'knitting', sownDaysAgo: 60 })[0]).toMatchObject({ next: null });
    const late = prompts({ stage: 'tillering', sownDaysAgo: 40.9 })[0];
    expect(late).toMatchObject({ code: 'late', days: 40, usualDays: [21, 35], next: 'first_mow' });
    const seen = { coverFraction: 0.9, leafMm: null, rootMm: 30 };
    expect(prompts({ stage: 'tillering', seen })[0]).toMatchObject({
      code: 'signs_seen',
      coverFraction: 0.9,
      rootMm: 30,
      next: 'first_mow',
    });
    expect(prompts({ movedDaysAgo: 1 })[0]).toMatchObject({ code: 'settling', settlingDays: 2 });
  });

  it('refuses an instant that is none', () => {
    expect(() =>
      stagePrompts({
        stage: STAGES.germination,
        nowMs: Number.NaN,
        sownMs: null,
        movedMs: null,
        window: null,
      }),
    ).toThrow(/stagePrompts.nowMs/);
  });
});
