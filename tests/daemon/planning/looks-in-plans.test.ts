import { describe, expect, it } from 'vitest';
import { makePlan } from '../../../daemon/planning/make-plan.ts';
import { predictedLook } from '../../../daemon/planning/predicted-look.ts';
import { prepareProposal } from '../../../daemon/planning/propose-plan.ts';
import {
  addLook,
  addLookUndo,
  everyLook,
  type SeenOnBed,
} from '../../../daemon/site/store/looks.ts';
import { jobRig } from '../job-rig.ts';

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
    const site = jobRig();
    const context = () => ({ ...site.parts, nowMs: site.parts.now() });
    await makePlan(context(), { cause: 'person', who: 'A. Keeper', lift: 'none' });
    site.goTo(90);
    const proposed = async (hypothetical = {}) =>
      (await prepareProposal(context(), { lift: 'none', hypothetical }))().plan;
    const before = await proposed();
    const seen = {
      ...NOTHING,
      bedId: 'bed-1',
      seenMs: site.at(85),
      surface: 'lightening' as const,
    };
    const expected = await predictedLook(context(), seen);
    expect(expected?.byMembers).toBeNull();
    const stage = 'germination' as const;
    const look = { ...seen, atMs: site.at(90), who: 'A. Keeper', stage, expected };
    const thought = await proposed({
      looks: [{ ...look, lookId: 1, undoneMs: null, undoneBy: null }],
    });
    expect(thought.beds[0]?.storeNowMm).toBeLessThan(before.beds[0]?.storeNowMm ?? 0);
    expect(thought.beds[1]?.storeNowMm).toBe(before.beds[1]?.storeNowMm);
    expect(thought.warnings.filter((one) => one.code === 'looks').map((one) => one.bedId)).toEqual([
      'bed-1',
    ]);
    const lookId = addLook(site.db, look);
    expect(await proposed()).toEqual(thought);
    addLookUndo(site.db, { lookId, atMs: site.at(90), who: 'A. Keeper' });
    expect(await proposed()).toEqual(before);
  });

  it('moves what a bed loses by the cover that was seen, in its stage and until it is taken back', async () => {
    const site = jobRig();
    const context = () => ({ ...site.parts, nowMs: site.parts.now() });
    const losses = async () =>
      (await prepareProposal(context(), { lift: 'none' }))().plan.beds.map(({ lossMm }) => lossMm);
    const bare = await losses();
    const look = {
      ...NOTHING,
      bedId: 'bed-1',
      seenMs: site.at(-5),
      atMs: site.at(0),
      who: 'A. Keeper',
      expected: null,
    };
    const kept = { ...look, stage: 'germination' as const, coverFraction: 0.6 };
    const lookId = addLook(site.db, kept);
    const covered = await losses();
    // Leaves of a low turf take less than wet sand gives (FAO-56, Table 17 with note 16).
    expect(covered[0]).toBeLessThan(0.97 * (bare[0] ?? 0));
    expect(covered[0]).toBeGreaterThan(0.6 * (bare[0] ?? 0));
    expect(covered.slice(1)).toEqual(bare.slice(1));
    addLookUndo(site.db, { lookId, atMs: site.at(0), who: 'A. Keeper' });
    expect(await losses()).toEqual(bare);
    addLook(site.db, { ...kept, stage: 'tillering' });
    expect(await losses()).toEqual(bare);
  });

  it('counts before there is any plan, in the bed that was looked at', async () => {
    const site = jobRig();
    const context = () => ({ ...site.parts, nowMs: site.parts.now() });
    site.goTo(30);
    const beds = async () => (await prepareProposal(context(), { lift: 'none' }))().plan.beds;
    const unseen = await beds();
    const look = {
      ...NOTHING,
      bedId: 'bed-1',
      seenMs: site.at(10),
      atMs: site.at(10),
      who: 'A. Keeper',
      stage: 'germination' as const,
      expected: null,
    };
    const lookId = addLook(site.db, { ...look, surface: 'dry' });
    const seen = await beds();
    // Dry twenty minutes ago; what a night's air loses since is next to nothing.
    expect(seen[0]?.storeNowMm).toBeLessThan(0.1 * (unseen[0]?.storeNowMm ?? 0));
    expect(seen.slice(1).map(({ storeNowMm }) => storeNowMm)).toEqual(
      unseen.slice(1).map(({ storeNowMm }) => storeNowMm),
    );
    addLookUndo(site.db, { lookId, atMs: site.at(20), who: 'A. Keeper' });
    // One of yesterday says nothing of a bed of which nothing else is known.
    addLook(site.db, { ...look, surface: 'dry', seenMs: site.at(-24 * 60) });
    expect((await beds())[0]?.storeNowMm).toBe(unseen[0]?.storeNowMm);
  });

  it('is taken back out of a plan that was made in its very moment', async () => {
    const site = jobRig();
    const context = () => ({ ...site.parts, nowMs: site.parts.now() });
    const planned = async () =>
      (await makePlan(context(), { cause: 'person', who: 'A. Keeper', lift: 'none' })).plan;
    const storeNow = async () =>
      (await prepareProposal(context(), { lift: 'none' }))().plan.beds[0]?.storeNowMm;
    await planned();
    site.goTo(90);
    const without = await storeNow();
    const seen = {
      ...NOTHING,
      bedId: 'bed-1',
      seenMs: site.at(90),
      surface: 'lightening' as const,
    };
    const expected = await predictedLook(context(), seen);
    const stage = 'germination' as const;
    const lookId = addLook(site.db, {
      ...seen,
      atMs: site.at(90),
      who: 'A. Keeper',
      stage,
      expected,
    });
    await planned();
    expect(await storeNow()).toBeLessThan(without ?? 0);
    addLookUndo(site.db, { lookId, atMs: site.at(90), who: 'A. Keeper' });
    expect(await storeNow()).toBe(without);
  });

  it('is kept with what each sand that the bed may have expected, by the weather and the water alone', async () => {
    const rig = jobRig();
    const sand = {
      name: 'medium',
      basis: 'class_default' as const,
      stated: null,
      className: 'medium_open',
      saturatedMmPerH: 400,
      lab: null,
    };
    const { site } = rig.config;
    const beds = site.beds.map((bed) => ({ ...bed, sand }));
    const config = { ...rig.config, site: { ...site, beds } };
    const context = () => ({ ...rig.parts, config, nowMs: rig.parts.now() });
    await makePlan(context(), { cause: 'person', who: 'A. Keeper', lift: 'none' });
    rig.goTo(180);
    const seen = { ...NOTHING, bedId: 'bed-1', seenMs: rig.at(180), surface: 'dry' as const };
    const expected = await predictedLook(context(), seen);
    const { leftFractions = [], libraryDigest } = expected?.byMembers ?? {};
    expect(libraryDigest).toMatch(/^[0-9a-f]{16}$/);
    expect(leftFractions.length).toBeGreaterThan(10);
    expect(leftFractions).toEqual(leftFractions.map((left) => Number(left.toFixed(4))));
    // Half of the sands expect less, and half expect more.
    const below = leftFractions.filter((left) => left < (expected?.leftFraction ?? 0)).length;
    expect(below / leftFractions.length).toBeGreaterThan(0.3);
    expect(below / leftFractions.length).toBeLessThan(0.7);
    const stage = 'germination' as const;
    const look = { ...seen, atMs: rig.at(180), who: 'A. Keeper', stage, expected };
    addLook(rig.db, look);
    expect(everyLook(rig.db)[0]?.expected).toEqual(expected);
    // A second look expects the same: the first is not counted in it.
    expect((await predictedLook(context(), seen))?.byMembers).toEqual(expected?.byMembers);
    const { plan } = (await prepareProposal(context(), { lift: 'none' }))();
    expect(plan.warnings.filter((one) => one.code === 'looks')).toMatchObject([{ looks: 1 }]);
    expect(plan.beds[0]?.storeNowMm).toBeLessThan(0.01);
  }, 30_000);

  it('of versions before is read with what was left, and weighed no more', async () => {
    const rig = jobRig();
    const old = {
      leftFraction: 0.3,
      lostLog: -0.36,
      capacityFraction: 0.9,
      probeLeftFraction: 0.4,
    };
    const look = {
      ...NOTHING,
      bedId: 'bed-1',
      seenMs: rig.at(0),
      atMs: rig.at(0),
      who: 'A. Keeper',
      stage: 'germination' as const,
      expected: old as never,
    };
    addLook(rig.db, look);
    expect(everyLook(rig.db)[0]?.expected).toEqual({
      leftFraction: 0.3,
      probeLeftFraction: 0.4,
      byMembers: null,
    });
  });
});
