import { describe, expect, it } from 'vitest';
import type { DayPlan } from '../../../../calc/schedule/day-plan.ts';
import {
  type ConfirmContext,
  confirmPlan,
  holdWater,
  planInForce,
} from '../../../../daemon/site/gate/gate.ts';
import type { RefusalCode } from '../../../../daemon/site/gate/judge-confirm.ts';
import {
  CAUTIONS,
  cautionsFor,
  WEATHER_STANDS_IN,
} from '../../../../daemon/site/gate/valid-confirm.ts';
import { lastAuditEntries } from '../../../../daemon/site/store/audit-log.ts';
import { openHolds } from '../../../../daemon/site/store/holds-and-keep-offs.ts';
import { openOrders } from '../../../../daemon/site/store/outbox.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';
import { sayRefusal } from '../../../../daemon/words/confirm-words.ts';
import { readerOf } from '../../../../daemon/words/plan-words.ts';
import {
  EXAMPLE_MADE_AT_MS,
  EXAMPLE_SITE,
  EXAMPLE_ZONE,
  examplePlan,
} from '../../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../../scratch-site.ts';
import { alterPlan, tenfold } from '../../altered-rows.ts';

const MIN_MS = 60_000;
const ALL_TICKED = CAUTIONS.map((caution) => caution.code);

function gateAt(nowMs: number): ConfirmContext {
  return {
    db: scratchDatabase(),
    clock: siteClock(EXAMPLE_ZONE),
    site: EXAMPLE_SITE,
    outputs: ['file', 'radio'],
    nowMs,
  };
}

function revision(number: number, change: Partial<DayPlan> = {}): DayPlan {
  return examplePlan({ revision: number, firstRunMs: EXAMPLE_MADE_AT_MS, ...change });
}

const request = (stored: { plan: DayPlan; digest: string }) => ({
  revision: stored.plan.revision,
  digest: stored.digest,
  who: 'A. Keeper',
  cautions: ALL_TICKED,
});

describe('confirm', () => {
  it('lets the newest plan out, owes it to every output, and writes it down', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS + 10 * MIN_MS);
    const stored = rememberPlan(gate.db, revision(1));
    const result = confirmPlan(gate, request(stored));
    expect(result.ok).toBe(true);
    expect(openOrders(gate.db).map((order) => [order.output, order.kind])).toEqual([
      ['file', 'deliver'],
      ['radio', 'deliver'],
    ]);
    expect(planInForce(gate.db, gate.nowMs)?.digest).toBe(stored.digest);
    expect(lastAuditEntries(gate.db, 1)[0]).toMatchObject({ kind: 'confirmed', who: 'A. Keeper' });
  });

  it('takes the first eight characters of the digest, in either case', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS);
    const stored = rememberPlan(gate.db, revision(1));
    const short = { ...request(stored), digest: stored.digest.slice(0, 8).toUpperCase() };
    expect(confirmPlan(gate, short).ok).toBe(true);
  });

  it('drops cycles whose start has passed and lists their runs as missed', () => {
    // Bed 1 starts after 75 minutes, bed 2 after 90.
    const gate = gateAt(EXAMPLE_MADE_AT_MS + 80 * MIN_MS);
    const stored = rememberPlan(gate.db, revision(1));
    const result = confirmPlan(gate, request(stored));
    expect(result.ok && result.missed.map((run) => run.stationId)).toEqual(['s-1a', 's-1b']);
  });

  const refused: [RefusalCode, (gate: ConfirmContext) => Parameters<typeof confirmPlan>[1]][] = [
    [
      'no_plan',
      () => ({ revision: 1, digest: '0'.repeat(64), who: 'A. Keeper', cautions: ALL_TICKED }),
    ],
    ['name_missing', (gate) => ({ ...request(rememberPlan(gate.db, revision(1))), who: '  ' })],
    [
      'digest_too_short',
      (gate) => ({ ...request(rememberPlan(gate.db, revision(1))), digest: 'abc' }),
    ],
    [
      'revision_outdated',
      (gate) => {
        const first = rememberPlan(gate.db, revision(1));
        rememberPlan(gate.db, revision(2));
        return request(first);
      },
    ],
    [
      'digest_outdated',
      (gate) => ({ ...request(rememberPlan(gate.db, revision(1))), digest: 'f'.repeat(64) }),
    ],
    [
      'plan_altered',
      (gate) => {
        const stored = rememberPlan(gate.db, revision(1));
        alterPlan(gate.db, stored.planId, tenfold);
        return request(stored);
      },
    ],
    [
      'site_changed',
      (gate) => {
        const stored = rememberPlan(gate.db, revision(1));
        gate.site = { ...EXAMPLE_SITE, bedIds: ['bed-1', 'bed-2'] };
        return request(stored);
      },
    ],
    [
      'already_confirmed',
      (gate) => {
        const stored = rememberPlan(gate.db, revision(1));
        confirmPlan(gate, request(stored));
        return request(stored);
      },
    ],
    ['day_over', (gate) => request(rememberPlan(gate.db, revision(1, { endMs: gate.nowMs })))],
    [
      'held_since',
      (gate) => {
        const stored = rememberPlan(gate.db, revision(1));
        holdWater(gate, {
          who: 'B. Mower',
          why: 'people on the bed',
          beds: ['bed-2'],
          untilMs: null,
        });
        return request(stored);
      },
    ],
    [
      'overtaken',
      (gate) => {
        const first = rememberPlan(gate.db, revision(1));
        confirmPlan({ ...gate, nowMs: EXAMPLE_MADE_AT_MS }, request(first));
        // Made before bed 1 drank at minute 75, confirmed after it.
        const second = revision(2, { firstRunMs: EXAMPLE_MADE_AT_MS + 70 * MIN_MS });
        return request(rememberPlan(gate.db, second));
      },
    ],
    [
      'cautions_missing',
      (gate) => ({ ...request(rememberPlan(gate.db, revision(1))), cautions: ALL_TICKED.slice(1) }),
    ],
  ];

  it.each(refused)(
    'refuses with %s, changes nothing but the log, and says what to do',
    (code, prepare) => {
      const gate = gateAt(EXAMPLE_MADE_AT_MS + 80 * MIN_MS);
      const asked = prepare(gate);
      const before = openOrders(gate.db);
      const result = confirmPlan(gate, asked);
      expect(result).toMatchObject({ ok: false, refusal: { code } });
      if (!result.ok)
        expect(
          sayRefusal(result.refusal, readerOf({ clock: gate.clock, units: 'metric' })),
        ).toMatch(/;/);
      expect(openOrders(gate.db)).toEqual(before);
      expect(lastAuditEntries(gate.db, 1)[0]).toMatchObject({ kind: 'confirm_refused' });
    },
  );

  it('refuses a plan of before that does not say for what site it was made', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS);
    const { madeFor: _, ...older } = revision(1);
    const result = confirmPlan(gate, request(rememberPlan(gate.db, older)));
    expect(result).toMatchObject({ ok: false, refusal: { code: 'site_changed' } });
  });

  it('asks for one caution more where the plan rests on stand-in weather', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS + 10 * MIN_MS);
    const { weather } = examplePlan();
    const stored = rememberPlan(gate.db, revision(1, { weather: { ...weather, standInH: 9 } }));
    const refusal = confirmPlan(gate, request(stored));
    expect(refusal).toMatchObject({ ok: false, refusal: { code: 'cautions_missing' } });
    expect(refusal).toMatchObject({ refusal: { facts: { missing: 'weather_stands_in' } } });
    const cautions = [...ALL_TICKED, WEATHER_STANDS_IN.code];
    expect(confirmPlan(gate, { ...request(stored), cautions }).ok).toBe(true);
  });

  it('asks for the three usual cautions of a plan that was kept before it told of stand-ins', () => {
    expect(cautionsFor(examplePlan())).toEqual(CAUTIONS);
  });

  it('covers by the digest that the plan rests on stand-in weather', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS);
    const { weather } = examplePlan();
    const plain = rememberPlan(gate.db, revision(1));
    const standIn = rememberPlan(gate.db, revision(2, { weather: { ...weather, standInH: 1 } }));
    expect(plain.digest).not.toBe(standIn.digest);
  });

  it('keeps the confirmed plan in force while a newer revision waits', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS + 10 * MIN_MS);
    const first = rememberPlan(gate.db, revision(1));
    confirmPlan(gate, request(first));
    rememberPlan(gate.db, revision(2));
    expect(planInForce(gate.db, gate.nowMs)?.digest).toBe(first.digest);
  });
});

describe('hold', () => {
  it('needs no confirm and stops everything at once', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS + 10 * MIN_MS);
    confirmPlan(gate, request(rememberPlan(gate.db, revision(1))));
    holdWater(gate, { who: 'B. Mower', why: 'lightning', beds: 'all', untilMs: null });
    expect(planInForce(gate.db, gate.nowMs)).toBeNull();
    expect(openOrders(gate.db).filter((order) => order.kind === 'withdraw')).toHaveLength(2);
  });

  it('on one bed leaves the others in force', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS + 10 * MIN_MS);
    confirmPlan(gate, request(rememberPlan(gate.db, revision(1))));
    holdWater(gate, { who: 'B. Mower', why: 'roll', beds: ['bed-2'], untilMs: null });
    expect(planInForce(gate.db, gate.nowMs)?.heldBedIds).toEqual(['bed-2']);
  });

  it('is possible before any plan exists, and is owed to the outputs', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS);
    holdWater(gate, { who: 'B. Mower', why: 'leak', beds: 'all', untilMs: null });
    expect(openOrders(gate.db).map((order) => order.kind)).toEqual(['withdraw', 'withdraw']);
  });

  it('is lifted only by confirming a plan that says it lifts it', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS + 10 * MIN_MS);
    const { holdId } = holdWater(gate, {
      who: 'B. Mower',
      why: 'leak',
      beds: 'all',
      untilMs: null,
    });
    const unaware = rememberPlan(gate.db, revision(1), { lastHoldId: holdId });
    confirmPlan(gate, request(unaware));
    expect(openHolds(gate.db).map((hold) => hold.holdId)).toEqual([holdId]);
    const lifting = rememberPlan(gate.db, revision(2), { lastHoldId: holdId, lifts: [holdId] });
    confirmPlan(gate, request(lifting));
    expect(openHolds(gate.db)).toEqual([]);
  });
});
