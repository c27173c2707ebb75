import { describe, expect, it } from 'vitest';
import { lookHindcast } from '../../../daemon/planning/look-hindcast.ts';
import { makePlan } from '../../../daemon/planning/make-plan.ts';
import { readyToPropose } from '../../../daemon/planning/propose-plan.ts';
import { addLook, addLookUndo, type SeenOnBed } from '../../../daemon/store/looks.ts';
import { dutyRig } from '../duty-rig.ts';

const NOTHING: Omit<SeenOnBed, 'bedId' | 'seenMs'> = {
  surface: null,
  coverFraction: null,
  leafMm: null,
  rootMm: null,
  probeFraction: null,
  probeDepthMm: null,
  photo: null,
  note: null,
};

describe('a look in a plan', () => {
  it('does the same when it is thought of, when it is kept, and nothing once it is taken back', async () => {
    const site = dutyRig();
    const context = () => ({ ...site.parts, nowMs: site.parts.now() });
    await makePlan(context(), { cause: 'person', who: 'A. Keeper', lift: 'none' });
    site.goTo(90);
    const proposed = async (asIf = {}) =>
      (await readyToPropose(context(), { lift: 'none', asIf }))().plan;
    const before = await proposed();
    const seen = { ...NOTHING, bedId: 'bed-1', seenMs: site.at(85), surface: 'dark' as const };
    const expected = await lookHindcast(context(), seen);
    expect(expected?.capacityFraction).toBeCloseTo(1, 12);
    const stage = 'germination' as const;
    const look = { ...seen, atMs: site.at(90), who: 'A. Keeper', stage, expected };
    const thought = await proposed({
      looks: [{ ...look, lookId: 1, undoneMs: null, undoneBy: null }],
    });
    expect(thought.beds[0]?.storeNowMm).toBeGreaterThan(before.beds[0]?.storeNowMm ?? 0);
    expect(thought.beds[1]?.storeNowMm).toBe(before.beds[1]?.storeNowMm);
    expect(thought.warnings.filter((one) => one.code === 'looks').map((one) => one.bedId)).toEqual([
      'bed-1',
    ]);
    const lookId = addLook(site.db, look);
    expect(await proposed()).toEqual(thought);
    addLookUndo(site.db, { lookId, atMs: site.at(90), who: 'A. Keeper' });
    expect(await proposed()).toEqual(before);
  });

  it('is taken back out of a plan that was made in its very moment', async () => {
    const site = dutyRig();
    const context = () => ({ ...site.parts, nowMs: site.parts.now() });
    const planned = async () =>
      (await makePlan(context(), { cause: 'person', who: 'A. Keeper', lift: 'none' })).plan;
    const storeNow = async () =>
      (await readyToPropose(context(), { lift: 'none' }))().plan.beds[0]?.storeNowMm;
    await planned();
    site.goTo(90);
    const without = await storeNow();
    const seen = { ...NOTHING, bedId: 'bed-1', seenMs: site.at(90), surface: 'dark' as const };
    const expected = await lookHindcast(context(), seen);
    const stage = 'germination' as const;
    const lookId = addLook(site.db, {
      ...seen,
      atMs: site.at(90),
      who: 'A. Keeper',
      stage,
      expected,
    });
    await planned();
    expect(await storeNow()).toBeGreaterThan(without ?? 0);
    addLookUndo(site.db, { lookId, atMs: site.at(90), who: 'A. Keeper' });
    expect(await storeNow()).toBe(without);
  });
});
