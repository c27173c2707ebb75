import { describe, expect, it } from 'vitest';
import { confirmedPlan } from '../../../../daemon/site/gate/confirmed-plan.ts';
import { confirmPlan, holdWater } from '../../../../daemon/site/gate/gate.ts';
import {
  type PlanDoubts,
  planDoubts,
  stopForDoubt,
} from '../../../../daemon/site/gate/plan-doubts.ts';
import { useSite } from '../../../../daemon/site/gate/site-changes.ts';
import {
  CAUTIONS,
  cautionsFor,
  digestAnew,
  faultOfConfirm,
  isAsKept,
  unticked,
  WEATHER_STANDS_IN,
} from '../../../../daemon/site/gate/valid-confirm.ts';
import type { Db } from '../../../../daemon/site/store/database.ts';
import type { Hold } from '../../../../daemon/site/store/holds-and-keep-offs.ts';
import { confirmationOf, type StoredConfirmation } from '../../../../daemon/site/store/plans.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';
import {
  EXAMPLE_MADE_AT_MS,
  EXAMPLE_SITE,
  EXAMPLE_ZONE,
  examplePlan,
} from '../../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../../scratch-site.ts';
import { alterPlan, tenfold } from '../../altered-rows.ts';

const NOW_MS = EXAMPLE_MADE_AT_MS + 10 * 60_000;
const CAUTION_CODES = CAUTIONS.map(({ code }) => code);

function scene() {
  const db = scratchDatabase();
  const gate = {
    db,
    clock: siteClock(EXAMPLE_ZONE),
    site: EXAMPLE_SITE,
    outputs: ['file'],
    nowMs: NOW_MS,
  };
  const stored = rememberPlan(db, examplePlan({ revision: 1 }));
  const { digest } = stored;
  const request = { revision: 1, digest, who: 'A. Keeper', cautions: CAUTION_CODES };
  return { db, gate, stored, confirm: () => expect(confirmPlan(gate, request).ok).toBe(true) };
}

function useBeds(db: Db, bedIds: readonly string[], zone = EXAMPLE_ZONE): void {
  const stations = EXAMPLE_SITE.stations.map(({ stationId, ...one }) => ({
    id: stationId,
    ...one,
  }));
  const site = { id: EXAMPLE_SITE.siteId, beds: bedIds.map((id) => ({ id })), stations };
  useSite(db, { site, clock: { zone }, units: 'metric' } as unknown as Parameters<
    typeof useSite
  >[1]);
}

const twoBeds = ['bed-1', 'bed-2'];
const bedGone = { bedIds: ['bed-3'], what: { code: 'bed_gone', bed: 'bed-3' } };

describe('planDoubts', () => {
  it('has none where there is no plan at all', () => {
    expect(planDoubts(scratchDatabase(), NOW_MS)).toEqual({ inForce: null, waiting: null });
  });

  it('has none without a confirm, and none of a plan that does not wait', () => {
    const { db, confirm } = scene();
    expect(planDoubts(db, NOW_MS)).toEqual({
      inForce: null,
      waiting: { altered: null, changes: [] },
    });
    confirm();
    expect(planDoubts(db, NOW_MS)).toMatchObject({
      inForce: { altered: null, changes: [], bedIds: ['bed-1', 'bed-2', 'bed-3'], holds: [] },
      waiting: null,
    });
  });

  it('tells of the site only where it is known, of beds and holds in any case', () => {
    const { db, gate, confirm } = scene();
    confirm();
    useBeds(db, twoBeds);
    holdWater(gate, { who: 'B. Mower', why: 'roll', beds: ['bed-1'], untilMs: null });
    expect(planDoubts(db, NOW_MS).inForce).toMatchObject({
      altered: null,
      changes: [bedGone],
      holds: [{ beds: ['bed-1'] }],
    });
  });

  it('does not look at the site for rows that were changed', () => {
    const { db, stored, confirm } = scene();
    useBeds(db, twoBeds);
    expect(planDoubts(db, NOW_MS).waiting).toEqual({ altered: null, changes: [bedGone] });
    alterPlan(db, stored.planId, tenfold);
    expect(planDoubts(db, NOW_MS).waiting).toEqual({
      altered: { code: 'waiting_row', siteDay: '2026-07-01', revision: 1 },
      changes: [],
    });
    alterPlan(db, stored.planId, () => stored.plan);
    useBeds(db, EXAMPLE_SITE.bedIds);
    confirm();
    useBeds(db, twoBeds);
    alterPlan(db, stored.planId, tenfold);
    expect(planDoubts(db, NOW_MS).inForce).toMatchObject({
      altered: { code: 'confirmed_row', siteDay: '2026-07-01', revision: 1 },
      changes: [],
    });
  });

  it('ends with the day that was confirmed, and not with one written in since', () => {
    const { db, stored, confirm } = scene();
    const { endMs } = stored.plan;
    expect(planDoubts(db, endMs - 1).waiting).not.toBeNull();
    expect(planDoubts(db, endMs).waiting).toBeNull();
    confirm();
    expect(planDoubts(db, endMs - 1).inForce).not.toBeNull();
    expect(planDoubts(db, endMs).inForce).toBeNull();
    alterPlan(db, stored.planId, (plan) => ({ ...plan, endMs: NOW_MS - 1 }));
    expect(planDoubts(db, NOW_MS).inForce?.altered).toMatchObject({ code: 'confirmed_row' });
  });

  it('takes the word of a plan of before for the end of its day, and asks nothing of its digest', () => {
    const { db, stored, confirm } = scene();
    confirm();
    alterPlan(db, stored.planId, ({ madeFor: _, ...older }) => older);
    expect(planDoubts(db, stored.plan.endMs).inForce).toBeNull();
    expect(planDoubts(db, NOW_MS).inForce).toMatchObject({ altered: null, changes: [] });
    useBeds(db, EXAMPLE_SITE.bedIds);
    expect(planDoubts(db, NOW_MS).inForce?.changes).toMatchObject([{ bedIds: 'all' }]);
    const older = rememberPlan(db, {
      ...examplePlan({ revision: 2 }),
      madeFor: undefined,
    } as never);
    expect(older.plan.madeFor).toBeUndefined();
    expect(planDoubts(db, NOW_MS).waiting).toMatchObject({ altered: null });
  });
});

describe('stopForDoubt', () => {
  const hold = (beds: Hold['beds']): Hold => ({
    holdId: 1,
    atMs: NOW_MS,
    who: 'B. Mower',
    why: 'roll',
    beds,
    untilMs: null,
    inForceId: 1,
  });
  const change = (bedIds: 'all' | string[]) => ({
    bedIds,
    what: { code: 'bed_gone', bed: String(bedIds) },
  });
  const doubt = (given: Partial<NonNullable<PlanDoubts['inForce']>>) => ({
    altered: null,
    changes: [],
    bedIds: ['bed-1', 'bed-2', 'bed-3'],
    holds: [],
    ...given,
  });
  const ALTERED = { code: 'not_in_log' };
  const changed = (...bedIds: ('all' | string[])[]) => ({ changes: bedIds.map(change) });

  it.each<[string, PlanDoubts['inForce'], ReturnType<typeof stopForDoubt>]>([
    ['no plan', null, null],
    ['no doubt', doubt({}), null],
    [
      'altered rows',
      doubt({ altered: ALTERED, changes: [change('all')] }),
      { beds: 'all', why: { altered: ALTERED } },
    ],
    [
      'altered rows, all held',
      doubt({ altered: ALTERED, holds: [hold(['bed-1']), hold('all')] }),
      null,
    ],
    [
      'altered rows, each bed held by itself',
      doubt({ altered: ALTERED, holds: [hold(['bed-1', 'bed-2', 'bed-3'])] }),
      { beds: 'all', why: { altered: ALTERED } },
    ],
    [
      'another zone beside a bed',
      doubt({ changes: [change(['bed-1']), change('all')] }),
      { beds: 'all', why: changed(['bed-1'], 'all') },
    ],
    [
      'two beds',
      doubt({ changes: [change(['bed-3']), change(['bed-1'])] }),
      { beds: ['bed-1', 'bed-3'], why: changed(['bed-3'], ['bed-1']) },
    ],
    [
      'two beds, one held',
      doubt({ changes: [change(['bed-3']), change(['bed-1'])], holds: [hold(['bed-3'])] }),
      { beds: ['bed-1'], why: changed(['bed-1']) },
    ],
    ['a bed that is held', doubt({ changes: [change(['bed-1'])], holds: [hold(['bed-1'])] }), null],
    ['what is new', doubt({ changes: [change([])] }), null],
    ['a bed that the plan does not water', doubt({ changes: [change(['bed-9'])] }), null],
    [
      'one change of two beds, one held',
      doubt({ changes: [change(['bed-1', 'bed-2'])], holds: [hold(['bed-2'])] }),
      { beds: ['bed-1'], why: changed(['bed-1', 'bed-2']) },
    ],
  ])('for %s', (_, given, stop) => {
    expect(stopForDoubt(given)).toEqual(stop);
  });
});

describe('what stands of a confirm, by the facts alone', () => {
  function confirmation(change: Partial<StoredConfirmation> = {}): StoredConfirmation {
    const { db, stored, confirm } = scene();
    confirm();
    const given = confirmationOf(db, stored.planId);
    if (given === null) throw new Error('it was confirmed');
    return { ...given, ...change };
  }
  const facts = { holds: [], isLogged: true, site: EXAMPLE_SITE };

  it('is all of it', () => {
    expect(faultOfConfirm(confirmation(), true)).toBeNull();
    expect(confirmedPlan(confirmation(), facts)).toMatchObject({ confirmed: { heldBedIds: [] } });
  });

  it('says what is wrong with it', () => {
    const lacking = confirmation({ cautions: ['turf_clear'] });
    const plan = { siteDay: '2026-07-01', revision: 1 };
    expect(faultOfConfirm(lacking, true)).toEqual({
      code: 'cautions_lacking',
      ...plan,
      missing: 'no_injector_armed, covers_off',
    });
    expect(faultOfConfirm(lacking, false)).toEqual({ code: 'not_in_log', ...plan });
    const { stored, ...rest } = lacking;
    const other = { ...rest, stored: { ...stored, digest: 'f'.repeat(64) } };
    expect(faultOfConfirm(other, false)).toEqual({ code: 'confirmed_row', ...plan });
    const { madeFor: _, ...older } = stored.plan;
    const ofBefore = { ...rest, stored: { ...stored, plan: older } };
    expect(confirmedPlan(ofBefore, { ...facts, isLogged: false })).toEqual({
      confirmed: null,
      because: 'site_changed',
      changes: [{ bedIds: 'all', what: { code: 'not_told' } }],
    });
  });

  it('lacks the beds of holds and of what has changed, once each, in the order of the plan', () => {
    const hold = { holdId: 1, atMs: 0, who: 'a', why: 'b', untilMs: null, inForceId: null };
    const site = { ...EXAMPLE_SITE, bedIds: ['bed-1', 'bed-3', 'bed-4'] };
    const holds = [{ ...hold, beds: ['bed-3', 'bed-2'] }];
    expect(confirmedPlan(confirmation(), { ...facts, holds, site })).toMatchObject({
      confirmed: { heldBedIds: ['bed-2', 'bed-3'] },
    });
    const elsewhere = { ...EXAMPLE_SITE, siteId: 'elsewhere' };
    expect(confirmedPlan(confirmation(), { ...facts, site: elsewhere })).toEqual({
      confirmed: null,
      because: 'site_changed',
      changes: [
        { bedIds: 'all', what: { code: 'other_site', now: 'elsewhere', before: 'example-site' } },
      ],
    });
    expect(confirmedPlan(confirmation(), { ...facts, site: null })).toMatchObject({
      confirmed: { heldBedIds: [] },
    });
    expect(
      confirmedPlan(confirmation(), { ...facts, holds: [...holds, { ...hold, beds: 'all' }] }),
    ).toEqual({ confirmed: null, because: 'held' });
  });
});

describe('the digest of a row', () => {
  it('is worked out once for a value that was read, and not taken for a plan of before', () => {
    const plan = examplePlan();
    const before = digestAnew({ plan });
    expect(before).toMatch(/^[0-9a-f]{64}$/);
    // The same value again: another text in the row is another value.
    plan.siteName = 'Another (invented)';
    expect(digestAnew({ plan })).toBe(before);
    expect(digestAnew({ plan: { ...plan } })).not.toBe(before);
    expect(isAsKept({ plan, digest: before ?? '' })).toBe(true);
    expect(isAsKept({ plan, digest: 'f'.repeat(64) })).toBe(false);
    const { madeFor, ...older } = plan;
    expect(digestAnew({ plan: older })).toBeNull();
    if (madeFor === undefined) throw new Error('the example says its site');
    const nowhere = { ...plan, madeFor: { ...madeFor, zone: 'No/Where' } };
    expect(digestAnew({ plan: nowhere })).toBeNull();
    expect(isAsKept({ plan: older, digest: before ?? '' })).toBe(false);
  });
});

describe('the cautions of a plan', () => {
  const { weather } = examplePlan();
  const standIn = (standInH: number) => ({ weather: { ...weather, standInH } });

  it('are one more from the first stand-in hour on', () => {
    expect(cautionsFor(standIn(0))).toEqual(CAUTIONS);
    expect(cautionsFor(standIn(1))).toEqual([...CAUTIONS, WEATHER_STANDS_IN]);
    expect(cautionsFor({ weather })).toEqual(CAUTIONS);
  });

  it('are the ones that are missing, in their sequence', () => {
    expect(unticked({ weather }, ['covers_off'])).toEqual(['turf_clear', 'no_injector_armed']);
    expect(unticked({ weather }, CAUTION_CODES)).toEqual([]);
  });
});
