import { describe, expect, it } from 'vitest';
import {
  type ConfirmContext,
  confirmPlan,
  holdWater,
  planInForce,
  standingOf,
  whyNothingStands,
} from '../../../../daemon/site/gate/gate.ts';
import { planDoubts, stopForDoubt } from '../../../../daemon/site/gate/plan-doubts.ts';
import { useSite } from '../../../../daemon/site/gate/site-changes.ts';
import { CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import { addAuditEntry } from '../../../../daemon/site/store/audit-log.ts';
import type { Db } from '../../../../daemon/site/store/database.ts';
import { newestConfirmation } from '../../../../daemon/site/store/plans.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';
import {
  EXAMPLE_MADE_AT_MS,
  EXAMPLE_SITE,
  EXAMPLE_ZONE,
  examplePlan,
} from '../../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../../scratch-site.ts';
import { alterPlan, insertConfirm, tenfold } from '../../altered-rows.ts';

const NOW_MS = EXAMPLE_MADE_AT_MS + 10 * 60_000;
const CAUTION_CODES = CAUTIONS.map(({ code }) => code);

/** A confirmed plan in a store of its own. */
function confirmed() {
  const db = scratchDatabase();
  const gate: ConfirmContext = {
    db,
    clock: siteClock(EXAMPLE_ZONE),
    site: EXAMPLE_SITE,
    outputs: ['file'],
    nowMs: NOW_MS,
  };
  const stored = rememberPlan(db, examplePlan({ revision: 1 }));
  const request = {
    revision: 1,
    digest: stored.digest,
    who: 'A. Keeper',
    cautions: CAUTION_CODES,
  };
  expect(confirmPlan(gate, request).ok).toBe(true);
  const confirmationId = newestConfirmation(db)?.confirmationId ?? 0;
  return { db, gate, stored, confirmationId };
}

/** Uses the store for the example's site with a station of another make. */
function useChanged(
  db: Db,
  change: { zone?: string; rateMmPerH?: number; isGone?: boolean } = {},
): void {
  const { zone = EXAMPLE_ZONE, rateMmPerH = 18, isGone = false } = change;
  const beds = EXAMPLE_SITE.bedIds.map((id) => ({ id }));
  const stations = EXAMPLE_SITE.stations
    .filter(({ stationId }) => !(isGone && stationId === 's-2a'))
    .map(({ stationId, ...one }) => ({
      id: stationId,
      ...one,
      precipitationRateMmPerH: stationId === 's-2a' ? rateMmPerH : one.precipitationRateMmPerH,
    }));
  const site = { id: EXAMPLE_SITE.siteId, beds, stations };
  useSite(db, { site, clock: { zone }, units: 'metric' } as unknown as Parameters<
    typeof useSite
  >[1]);
}

describe('what stands of a confirm', () => {
  it('is all of it as long as rows and site are as they were', () => {
    const { db, stored } = confirmed();
    useChanged(db);
    expect(planInForce(db, NOW_MS)).toMatchObject({ digest: stored.digest, heldBedIds: [] });
    expect(planDoubts(db, NOW_MS)).toMatchObject({
      inForce: { altered: null, changes: [] },
      waiting: null,
    });
  });

  it('is nothing once the row of its plan was altered, also where it was read before', () => {
    const { db, stored, confirmationId } = confirmed();
    expect(planInForce(db, NOW_MS)).not.toBeNull();
    alterPlan(db, stored.planId, tenfold);
    expect(planInForce(db, NOW_MS)).toBeNull();
    expect(whyNothingStands(db, confirmationId)).toEqual({
      confirmed: null,
      because: 'store_altered',
      fault: { code: 'confirmed_row', siteDay: '2026-07-01', revision: 1 },
    });
    alterPlan(db, stored.planId, (plan) => ({
      ...plan,
      runs: plan.runs.map((run) => ({ ...run, runS: run.runS / 10 })),
    }));
    expect(planInForce(db, NOW_MS)).not.toBeNull();
  });

  it.each<[string, (plan: ReturnType<typeof examplePlan>) => ReturnType<typeof examplePlan>]>([
    ['a zone that does not exist', (plan) => ({ ...plan, madeFor: madeFor({ zone: 'No/Where' }) })],
    ['another station', (plan) => ({ ...plan, madeFor: madeFor({ stations: [] }) })],
    ['a second field of the same name on the wire', (plan) => ({ ...tenfold(plan), ...twice() })],
    ['no number', (plan) => ({ ...plan, endMs: null as unknown as number })],
  ])('is nothing for a row with %s', (_, change) => {
    const { db, stored, confirmationId } = confirmed();
    alterPlan(db, stored.planId, change);
    expect(standingOf(db, confirmationId)).toMatchObject({ because: 'store_altered' });
  });

  it('is nothing where the row says no more for what site the plan is', () => {
    const { db, stored, confirmationId } = confirmed();
    alterPlan(db, stored.planId, ({ madeFor: _, ...older }) => older);
    expect(standingOf(db, confirmationId)).toMatchObject({ because: 'site_changed' });
  });

  it('is nothing of a confirm that stands in no line of the log', () => {
    const { db } = confirmed();
    const stored = rememberPlan(db, examplePlan({ revision: 2 }));
    const forged = {
      planId: stored.planId,
      atMs: NOW_MS,
      who: 'A. Keeper',
      cautions: CAUTION_CODES,
    };
    insertConfirm(db, forged);
    const id = newestConfirmation(db)?.confirmationId ?? 0;
    expect(whyNothingStands(db, id)).toEqual({
      confirmed: null,
      because: 'store_altered',
      fault: { code: 'not_in_log', siteDay: '2026-07-01', revision: 2 },
    });
    expect(stopForDoubt(planDoubts(db, NOW_MS).inForce)).toMatchObject({ beds: 'all' });
    // A line with another instant or another name is not its line.
    const step = { kind: 'confirmed' as const, digest: stored.digest, what: '' };
    addAuditEntry(db, { ...step, atMs: NOW_MS + 1, who: 'A. Keeper' });
    addAuditEntry(db, { ...step, atMs: NOW_MS, who: 'B. Mower' });
    expect(planInForce(db, NOW_MS)).toBeNull();
    addAuditEntry(db, { ...step, atMs: NOW_MS, who: 'A. Keeper' });
    expect(planInForce(db, NOW_MS)?.plan.revision).toBe(2);
  });

  it('is nothing of a confirm that lacks a caution', () => {
    const { db } = confirmed();
    const { planId, digest } = rememberPlan(db, examplePlan({ revision: 2 }));
    const who = 'A. Keeper';
    insertConfirm(db, { planId, atMs: NOW_MS, who, cautions: CAUTION_CODES.slice(1) });
    addAuditEntry(db, { kind: 'confirmed', digest, atMs: NOW_MS, who, what: '' });
    const id = newestConfirmation(db)?.confirmationId ?? 0;
    expect(whyNothingStands(db, id)).toMatchObject({
      fault: { code: 'cautions_lacking', missing: 'turf_clear' },
    });
  });

  it('leaves out the beds of a station that was changed or is gone', () => {
    const { db } = confirmed();
    useChanged(db, { rateMmPerH: 72 });
    expect(planInForce(db, NOW_MS)?.heldBedIds).toEqual(['bed-2']);
    useChanged(db, { isGone: true });
    expect(planInForce(db, NOW_MS)?.heldBedIds).toEqual(['bed-2']);
    expect(stopForDoubt(planDoubts(db, NOW_MS).inForce)).toEqual({
      beds: ['bed-2'],
      why: {
        changes: [{ bedIds: ['bed-2'], what: { code: 'station_gone', station: 's-2a' } }],
      },
    });
  });

  it('is nothing in another zone', () => {
    const { db, confirmationId } = confirmed();
    useChanged(db, { zone: 'Europe/Rome' });
    expect(planInForce(db, NOW_MS)).toBeNull();
    expect(whyNothingStands(db, confirmationId)).toMatchObject({
      because: 'site_changed',
      changes: [{ what: { code: 'zone', now: 'Europe/Rome' } }],
    });
    expect(stopForDoubt(planDoubts(db, NOW_MS).inForce)).toMatchObject({ beds: 'all' });
  });

  it('asks for no second hold on what is held, nor for one when the day is over', () => {
    const { db, gate, stored } = confirmed();
    useChanged(db, { rateMmPerH: 72 });
    holdWater(gate, { who: 'B. Mower', why: 'leak', beds: ['bed-2'], untilMs: null });
    expect(stopForDoubt(planDoubts(db, NOW_MS).inForce)).toBeNull();
    useChanged(db, { zone: 'Europe/Rome' });
    expect(stopForDoubt(planDoubts(db, NOW_MS).inForce)).toMatchObject({ beds: 'all' });
    expect(stopForDoubt(planDoubts(db, stored.plan.endMs).inForce)).toBeNull();
    holdWater(gate, { who: 'B. Mower', why: 'leak', beds: 'all', untilMs: null });
    expect(stopForDoubt(planDoubts(db, NOW_MS).inForce)).toBeNull();
  });

  it('doubts a plan that waits, too', () => {
    const { db } = confirmed();
    useChanged(db);
    const { planId } = rememberPlan(db, examplePlan({ revision: 2 }));
    expect(planDoubts(db, NOW_MS).waiting).toEqual({ altered: null, changes: [] });
    useChanged(db, { rateMmPerH: 72 });
    expect(planDoubts(db, NOW_MS).waiting?.changes).toHaveLength(1);
    alterPlan(db, planId, tenfold);
    expect(planDoubts(db, NOW_MS).waiting?.altered).toMatchObject({ code: 'waiting_row' });
  });
});

function madeFor(change: Partial<NonNullable<ReturnType<typeof examplePlan>['madeFor']>>) {
  const { zone, bedIds, stations } = EXAMPLE_SITE;
  return { zone, bedIds, stations, ...change };
}

/** The old runs under a name that becomes `runs` on the wire as well. */
function twice(): object {
  return { Runs: examplePlan().runs };
}
