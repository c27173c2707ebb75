import { describe, expect, it } from 'vitest';
import {
  type ConfirmContext,
  confirmPlan,
  holdBehind,
  holdWater,
  planInForce,
  planStanding,
  standingOf,
  standingPlan,
  whyNothingStands,
} from '../../../../daemon/site/gate/gate.ts';
import type { Refusal } from '../../../../daemon/site/gate/judge-confirm.ts';
import { CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import { lastAuditEntries } from '../../../../daemon/site/store/audit-log.ts';
import {
  addKeepOff,
  allHolds,
  openHolds,
} from '../../../../daemon/site/store/holds-and-keep-offs.ts';
import { orderStates } from '../../../../daemon/site/store/outbox.ts';
import { newestConfirmation, type StoredPlan } from '../../../../daemon/site/store/plans.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';
import {
  EXAMPLE_MADE_AT_MS,
  EXAMPLE_SITE,
  EXAMPLE_ZONE,
  examplePlan,
} from '../../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../../scratch-site.ts';

const MIN_MS = 60_000;
const DAY_MS = 24 * 3_600_000;
const CAUTION_CODES = CAUTIONS.map(({ code }) => code);

function gateAt(nowMs: number): ConfirmContext {
  const clock = siteClock(EXAMPLE_ZONE);
  return { db: scratchDatabase(), clock, site: EXAMPLE_SITE, outputs: ['file', 'radio'], nowMs };
}

function confirm(gate: ConfirmContext, { plan, digest }: StoredPlan, who = ' A. Keeper ') {
  const { revision } = plan;
  const result = confirmPlan(gate, { revision, digest, who, cautions: CAUTION_CODES });
  if (!result.ok) throw new Error(result.refusal.code);
  return result;
}

describe('what a confirm writes', () => {
  it('is the confirm, an order to each output until the end of the day, and a line', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS + 80 * MIN_MS);
    const stored = rememberPlan(gate.db, examplePlan({ revision: 1 }));
    const result = confirm(gate, stored);
    const orderId = `2026-07-01-r1-${stored.digest.slice(0, 8)}`;
    expect(result).toMatchObject({ orderId, who: 'A. Keeper', plan: stored.plan });
    const given = newestConfirmation(gate.db);
    expect(given).toMatchObject({ who: 'A. Keeper', atMs: gate.nowMs, cautions: CAUTION_CODES });
    const order = {
      orderId,
      kind: 'deliver',
      confirmationId: given?.confirmationId,
      holdId: null,
      atMs: gate.nowMs,
      validUntilMs: stored.plan.endMs,
    };
    expect(orderStates(gate.db, orderId)).toMatchObject([
      { ...order, output: 'file' },
      { ...order, output: 'radio' },
    ]);
    expect(lastAuditEntries(gate.db, 9)).toMatchObject([
      {
        kind: 'confirmed',
        atMs: gate.nowMs,
        who: 'A. Keeper',
        siteDay: '2026-07-01',
        revision: 1,
        digest: stored.digest,
        what: '10 runs, 2 missed; cautions turf_clear, no_injector_armed, covers_off',
      },
    ]);
  });

  it('is a line for each hold that it lifts', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS);
    const asked = { who: 'B. Mower', why: 'leak', beds: 'all' as const, untilMs: null };
    const ids = [holdWater(gate, asked).holdId, holdWater(gate, asked).holdId];
    const rest = { lastHoldId: ids[1] ?? 0, lifts: ids };
    const stored = rememberPlan(gate.db, examplePlan({ revision: 1 }), rest);
    confirm(gate, stored);
    expect(openHolds(gate.db)).toEqual([]);
    const lifted = { who: 'A. Keeper', revision: 1, digest: stored.digest };
    expect(lastAuditEntries(gate.db, 9).filter(({ kind }) => kind === 'hold_lifted')).toMatchObject(
      [
        { ...lifted, what: `stop ${ids[0]}` },
        { ...lifted, what: `stop ${ids[1]}` },
      ],
    );
  });

  it('is, where it is refused, what was asked and why it was refused', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS);
    const { digest } = rememberPlan(gate.db, examplePlan({ revision: 1 }));
    const sayRefusal = ({ code, facts }: Refusal) => `${code}, not ${facts?.['got']}`;
    const asked = { revision: 7, digest, who: 'A. Keeper', cautions: [] };
    const result = confirmPlan({ ...gate, sayRefusal }, asked);
    if (result.ok) throw new Error('the gate opened');
    expect(lastAuditEntries(gate.db, 9)).toMatchObject([
      {
        kind: 'confirm_refused',
        atMs: gate.nowMs,
        who: 'A. Keeper',
        revision: 7,
        digest,
        what: 'revision_outdated, not 7',
      },
    ]);
    expect(newestConfirmation(gate.db)).toBeNull();
  });

  it('depends on the keep-offs in the store and on the guards that are given', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS);
    const stored = rememberPlan(gate.db, examplePlan({ revision: 1 }));
    const keepOff = { who: 'B. Mower', why: 'mow', beds: 'all' as const, untilMs: null };
    addKeepOff(gate.db, { ...keepOff, atMs: gate.nowMs, labelIntervalS: 0 });
    expect(() => confirm(gate, stored)).toThrow('keep_off_since');
    expect(confirm({ ...gate, guards: [] }, stored).ok).toBe(true);
  });
});

describe('what a hold writes', () => {
  it('is the hold, an order to each output for a day at least, and a line', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS);
    const asked = { who: 'B. Mower', why: 'leak', beds: 'all' as const, untilMs: null };
    const { holdId, orderId } = holdWater(gate, asked);
    expect(orderId).toBe(`hold-${holdId}-${gate.nowMs}`);
    const order = { kind: 'withdraw', holdId, confirmationId: null, atMs: gate.nowMs };
    expect(orderStates(gate.db, orderId)).toMatchObject([
      { ...order, output: 'file', validUntilMs: gate.nowMs + DAY_MS },
      { ...order, output: 'radio', validUntilMs: gate.nowMs + DAY_MS },
    ]);
    expect(holdBehind(gate.db, holdId)).toMatchObject({ ...asked, atMs: gate.nowMs });
    expect(holdBehind(gate.db, null)).toBeNull();
    expect(holdBehind(gate.db, holdId + 1)).toBeNull();
    expect(lastAuditEntries(gate.db, 9)).toMatchObject([
      { kind: 'held', who: 'B. Mower', siteDay: '2026-07-01', what: 'everything: leak' },
    ]);
  });

  it('says which beds and until when, and names the confirm that it stops', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS);
    // Longer than a day: the order is worth sending until the plan that it stops is over.
    const endMs = EXAMPLE_MADE_AT_MS + 2 * DAY_MS;
    confirm(gate, rememberPlan(gate.db, examplePlan({ revision: 1, endMs })));
    const confirmationId = newestConfirmation(gate.db)?.confirmationId;
    const untilMs = EXAMPLE_MADE_AT_MS + 2 * 3_600_000;
    const asked = { who: 'B. Mower', why: 'roll', beds: ['bed-1', 'bed-2'], untilMs };
    const { orderId } = holdWater(gate, asked);
    expect(orderStates(gate.db, orderId)[0]).toMatchObject({ confirmationId, validUntilMs: endMs });
    expect(allHolds(gate.db)).toMatchObject([{ ...asked, inForceId: confirmationId }]);
    expect(lastAuditEntries(gate.db, 1)[0]?.what).toBe(
      'bed-1, bed-2 until 2026-07-01T07:00:00-07:00: roll',
    );
  });
});

describe('what is in force', () => {
  it('is nothing without a confirm, and what was confirmed until the end of its day', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS);
    const { db, nowMs } = gate;
    expect(planInForce(db, nowMs)).toBeNull();
    const stored = rememberPlan(db, examplePlan({ revision: 1 }));
    confirm(gate, stored);
    const { endMs } = stored.plan;
    expect(planInForce(db, endMs - 1)).toMatchObject({
      plan: stored.plan,
      digest: stored.digest,
      confirmation: { who: 'A. Keeper', atMs: nowMs, cautions: CAUTION_CODES },
      heldBedIds: [],
    });
    expect(planInForce(db, endMs)).toBeNull();
  });

  it('says why nothing of it stands', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS);
    expect(whyNothingStands(gate.db, null)).toMatchObject({ fault: { code: 'no_confirm' } });
    expect(whyNothingStands(gate.db, 9)).toMatchObject({ fault: { code: 'confirm_gone' } });
    confirm(gate, rememberPlan(gate.db, examplePlan({ revision: 1 })));
    const id = newestConfirmation(gate.db)?.confirmationId ?? 0;
    expect(whyNothingStands(gate.db, id)).toBeNull();
    holdWater(gate, { who: 'B. Mower', why: 'roll', beds: ['bed-1'], untilMs: null });
    expect(whyNothingStands(gate.db, id)).toBeNull();
    holdWater(gate, { who: 'B. Mower', why: 'leak', beds: 'all', untilMs: null });
    expect(whyNothingStands(gate.db, id)).toEqual({ confirmed: null, because: 'held' });
    expect(standingOf(gate.db, id)).toMatchObject({ confirmed: null, because: 'held' });
    expect(standingPlan(gate.db, id)).toBeNull();
  });
});

describe('planStanding', () => {
  it('goes from held over confirmed and stopped to replaced', () => {
    const gate = gateAt(EXAMPLE_MADE_AT_MS + 80 * MIN_MS);
    const { db, nowMs } = gate;
    const first = rememberPlan(db, examplePlan({ revision: 1 }));
    expect(planStanding(db, first)).toEqual({ kind: 'held', runs: first.plan.runs });
    confirm(gate, first);
    holdWater(gate, { who: 'B. Mower', why: 'roll', beds: ['bed-2'], untilMs: null });
    const standing = planStanding(db, first);
    const by = { who: 'A. Keeper', atMs: nowMs };
    expect(standing).toMatchObject({ kind: 'confirmed', ...by, heldBedIds: ['bed-2'] });
    if (standing.kind !== 'confirmed') throw new Error('it is confirmed');
    expect(standing.runs).toHaveLength(8);
    expect(standing.missed.map(({ stationId }) => stationId)).toEqual(['s-1a', 's-1b']);
    holdWater(gate, { who: 'B. Mower', why: 'leak', beds: 'all', untilMs: null });
    expect(planStanding(db, first)).toEqual({ kind: 'stopped', ...by });
    const rest = { lastHoldId: 2, lifts: [1, 2] };
    const firstRunMs = nowMs + MIN_MS;
    const second = rememberPlan(db, examplePlan({ revision: 2, firstRunMs }), rest);
    confirm(gate, second, 'C. Other');
    expect(planStanding(db, first)).toEqual({ kind: 'replaced', ...by });
    expect(planStanding(db, second)).toMatchObject({ kind: 'confirmed', who: 'C. Other' });
  });
});
