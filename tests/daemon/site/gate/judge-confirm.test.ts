import { describe, expect, it } from 'vitest';
import { planDigest, planDocument } from '../../../../adapters/plan-document.ts';
import {
  type ConfirmRequest,
  type GateState,
  GUARDS,
  judgeConfirm,
} from '../../../../daemon/site/gate/judge-confirm.ts';
import { CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import type { Hold, PersonKeepOff } from '../../../../daemon/site/store/holds-and-keep-offs.ts';
import type { StoredConfirmation, StoredPlan } from '../../../../daemon/site/store/plans.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';
import { sayRefusal } from '../../../../daemon/words/confirm-words.ts';
import { readerOf } from '../../../../daemon/words/plan-words.ts';
import {
  EXAMPLE_MADE_AT_MS,
  EXAMPLE_SITE,
  EXAMPLE_ZONE,
  examplePlan,
} from '../../../example-plan.ts';

const MIN_MS = 60_000;
const NOW_MS = EXAMPLE_MADE_AT_MS + 10 * MIN_MS;
const clock = siteClock(EXAMPLE_ZONE);
const reader = readerOf({ clock, units: 'metric' });

function stored(
  change: Partial<StoredPlan['plan']> = {},
  rest: Partial<StoredPlan> = {},
): StoredPlan {
  const plan = examplePlan({ revision: 1, ...change });
  const digest = planDigest(planDocument(plan, clock));
  return { planId: 1, cause: 'person', digest, plan, lifts: [], lastHoldId: 3, ...rest };
}

const newest = stored();
const short = newest.digest.slice(0, 8);

const request = (change: Partial<ConfirmRequest> = {}): ConfirmRequest => ({
  revision: 1,
  digest: newest.digest,
  who: 'A. Keeper',
  cautions: CAUTIONS.map(({ code }) => code),
  ...change,
});

const state = (change: Partial<GateState> = {}): GateState => ({
  newest,
  confirmed: null,
  inForce: null,
  openHolds: [],
  keepOffs: [],
  site: EXAMPLE_SITE,
  ...change,
});

const confirmation = (of: StoredPlan, atMs: number): StoredConfirmation => ({
  confirmationId: 9,
  stored: of,
  who: 'B. Mower',
  atMs,
  cautions: [],
});

const hold = (holdId: number): Hold => ({
  holdId,
  atMs: NOW_MS,
  who: 'B. Mower',
  why: 'people on the bed',
  beds: ['bed-2'],
  untilMs: null,
  inForceId: null,
});

const keepOff = (change: Partial<PersonKeepOff> = {}): PersonKeepOff => ({
  keepOffId: 1,
  atMs: NOW_MS,
  who: 'B. Mower',
  why: 'mow',
  beds: 'all',
  untilMs: null,
  labelIntervalS: 0,
  endedMs: null,
  endedBy: null,
  takenBackMs: null,
  ...change,
});

const judged = (
  given: { state?: Partial<GateState>; request?: Partial<ConfirmRequest>; nowMs?: number } = {},
) => {
  const asked = { request: request(given.request), nowMs: given.nowMs ?? NOW_MS };
  const judgement = judgeConfirm(state(given.state), asked);
  if (judgement.ok) return 'confirmed';
  const { refusal } = judgement;
  return `${refusal.code}: ${sayRefusal(refusal, reader)}`;
};

describe('judgeConfirm', () => {
  it('opens for the plan that was read, and gives exactly that one', () => {
    const asked = { request: request(), nowMs: NOW_MS };
    expect(judgeConfirm(state(), asked)).toEqual({ ok: true, stored: newest });
  });

  it.each<[string, Parameters<typeof judged>[0], string]>([
    [
      'no plan',
      { state: { newest: null } },
      'no_plan: there is no plan yet; make one with `dewbeat plan`',
    ],
    ['no name', { request: { who: ' \t' } }, 'name_missing: a confirm needs a name; give `--who`'],
    [
      'seven characters',
      { request: { digest: newest.digest.slice(0, 7) } },
      `digest_too_short: too few characters of the digest (got ${newest.digest.slice(0, 7)}); give the first 8 or more, from \`dewbeat show\``,
    ],
    [
      'another revision',
      { request: { revision: 2 } },
      `revision_outdated: plan 2 is not the newest: that is plan 1 of 2026-07-01, digest ${short}; read it with \`dewbeat show\` and confirm that one`,
    ],
    [
      'another digest',
      { request: { digest: 'ffffffff' } },
      `digest_outdated: this digest is not that of the newest plan (got ffffffff): that is plan 1 of 2026-07-01, digest ${short}; read it with \`dewbeat show\` and confirm what you have read`,
    ],
    [
      'a row that was changed',
      { state: { newest: { ...newest, plan: examplePlan({ revision: 1, siteName: 'Other' }) } } },
      `plan_altered: plan 1 of 2026-07-01, digest ${short}, was altered in the database since it was made; find out who writes to it, then make a fresh plan with \`dewbeat plan\``,
    ],
    [
      'a confirm before',
      { state: { confirmed: confirmation(newest, NOW_MS - MIN_MS) } },
      'already_confirmed: plan 1 of 2026-07-01 was confirmed by B. Mower at 05:09; nothing is sent twice',
    ],
    [
      'the end of its day',
      { nowMs: newest.plan.endMs },
      'day_over: the plan was for 2026-07-01 and that day is over; make a fresh one with `dewbeat plan`',
    ],
    [
      'a bed gone',
      { state: { site: { ...EXAMPLE_SITE, bedIds: ['bed-1', 'bed-2'] } } },
      'site_changed: the site has changed since the plan was made (got: bed bed-3 is gone); make a fresh one with `dewbeat plan`',
    ],
    [
      'a hold since',
      { state: { openHolds: [hold(2), hold(3), hold(4)] } },
      'held_since: B. Mower stopped water at 05:10 (people on the bed), after this plan was made; make a fresh one with `dewbeat release`',
    ],
    [
      'a keep-off since',
      { state: { keepOffs: [keepOff({ beds: ['bed-2'] })] } },
      'keep_off_since: the plan waters bed-2 at 06:30, in a keep-off put on after it was made; see `dewbeat keep-off`, and make a fresh plan with `dewbeat plan`',
    ],
    [
      'water since',
      {
        state: { inForce: confirmation(newest, EXAMPLE_MADE_AT_MS) },
        nowMs: EXAMPLE_MADE_AT_MS + 80 * MIN_MS,
      },
      'overtaken: the plan in force has watered bed-1 at 06:15 since this one was made; make a fresh one with `dewbeat plan`, so that no bed drinks twice',
    ],
    [
      'a caution that was not ticked',
      { request: { cautions: ['no_injector_armed'] } },
      'cautions_missing: tick every caution (missing turf_clear, covers_off); look at the turf, then tick them with `--caution turf_clear no_injector_armed covers_off`',
    ],
  ])('refuses for %s', (_, given, said) => {
    expect(judged(given)).toBe(said);
  });

  it.each<[string, Parameters<typeof judged>[0]]>([
    ['eight characters in capitals', { request: { digest: short.toUpperCase() } }],
    ['the last millisecond of the day', { nowMs: newest.plan.endMs - 1 }],
    ['holds that the plan knew', { state: { openHolds: [hold(2), hold(3)] } }],
    ['a keep-off that is over', { state: { keepOffs: [keepOff({ atMs: 0, untilMs: NOW_MS })] } }],
    [
      'a keep-off where no run is ahead',
      {
        state: {
          keepOffs: [keepOff({ beds: ['bed-1'], untilMs: EXAMPLE_MADE_AT_MS + 75 * MIN_MS })],
        },
      },
    ],
    ['a confirm of another plan', { state: { inForce: confirmation(newest, NOW_MS) } }],
    ['cautions that nobody asked for', { request: { cautions: [...request().cautions, 'more'] } }],
  ])('opens for %s', (_, given) => {
    expect(judged(given)).toBe('confirmed');
  });

  it('takes a plan that says no site as changed, not as altered', () => {
    const { madeFor: _, ...older } = newest.plan;
    expect(judged({ state: { newest: { ...newest, plan: older } } })).toMatch(/^site_changed: /);
  });

  it('counts a run that begins this instant as ahead, and one that has begun as not', () => {
    const startMs = EXAMPLE_MADE_AT_MS + 420 * MIN_MS;
    const last = { keepOffs: [keepOff({ atMs: startMs, beds: ['bed-1'] })] };
    expect(judged({ state: last, nowMs: startMs })).toMatch(/^keep_off_since: .* at 12:00/);
    expect(judged({ state: last, nowMs: startMs + 1 })).toBe('confirmed');
  });

  it('asks about no keep-off for a cycle that stood already when the plan was made', () => {
    const beds = newest.plan.beds.map((bed) => ({
      ...bed,
      cycles: bed.cycles.map((cycle) => ({ ...cycle, reasons: [{ code: 'kept' as const }] })),
    }));
    const kept = stored({ beds });
    const given = {
      state: { newest: kept, keepOffs: [keepOff()] },
      request: { digest: kept.digest },
    };
    expect(judged(given)).toBe('confirmed');
  });

  // Bed 1 drinks at minute 75 by the plan in force, which was confirmed at its making.
  it.each<[string, { firstRunMin?: number; confirmedMin?: number; nowMin?: number }, boolean]>([
    ['from its start on, the moment after', { nowMin: 75 + 1 / MIN_MS }, true],
    ['not at its start itself', { nowMin: 75 }, false],
    ['where the new plan begins with it', { firstRunMin: 75 }, true],
    ['not where the new plan begins after it', { firstRunMin: 75 + 1 / MIN_MS }, false],
    ['where it was confirmed at its start', { confirmedMin: 75 }, true],
    ['not where it was confirmed after it', { confirmedMin: 75 + 1 / MIN_MS }, false],
  ])('is overtaken by a run %s', (_, given, isOvertaken) => {
    const at = (min: number) => EXAMPLE_MADE_AT_MS + min * MIN_MS;
    const plan = stored({ firstRunMs: at(given.firstRunMin ?? 0) });
    const said = judged({
      state: { newest: plan, inForce: confirmation(newest, at(given.confirmedMin ?? 0)) },
      request: { digest: plan.digest },
      nowMs: at(given.nowMin ?? 80),
    });
    expect(said).toMatch(isOvertaken ? /^overtaken: .* bed-1 at 06:15/ : /^confirmed$/);
  });

  it('looks at the guards that it is given, in their sequence', () => {
    const asked = { request: request({ who: '', cautions: [] }), nowMs: NOW_MS };
    expect(judgeConfirm(state(), asked)).toMatchObject({ refusal: { code: 'name_missing' } });
    const others = GUARDS.filter(({ code }) => code !== 'name_missing');
    expect(judgeConfirm(state(), asked, others)).toMatchObject({
      refusal: { code: 'cautions_missing' },
    });
    expect(judgeConfirm(state(), asked, [])).toMatchObject({ ok: true });
  });
});
