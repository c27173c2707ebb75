import { describe, expect, it } from 'vitest';
import { makePlan } from '../../../../daemon/planning/make-plan.ts';
import { planWatchJob } from '../../../../daemon/service/jobs/hold-watches.ts';
import { morningJob } from '../../../../daemon/service/jobs/planning-jobs.ts';
import { needsOf, sayNeed } from '../../../../daemon/service/needs.ts';
import { siteStatus } from '../../../../daemon/service/site-status.ts';
import { planInForce } from '../../../../daemon/site/gate/gate.ts';
import { useSite } from '../../../../daemon/site/gate/site-changes.ts';
import { openHolds } from '../../../../daemon/site/store/holds-and-keep-offs.ts';
import { openOrders } from '../../../../daemon/site/store/outbox.ts';
import { newestPlan } from '../../../../daemon/site/store/plans.ts';
import { readerOf } from '../../../../daemon/words/plan-words.ts';
import { alterPlan, tenfold } from '../../altered-rows.ts';
import { jobRig } from '../../job-rig.ts';

/** The invented site, confirmed, and a way to have it used with another config as after a reload. */
async function confirmedSite() {
  const rig = jobRig();
  await morningJob(rig.parts).work();
  const stored = newestPlan(rig.db);
  if (stored === null) throw new Error('there is no plan');
  rig.goTo(2);
  rig.confirm(stored);
  rig.goTo(10);
  const { config, db } = rig;
  const withRate = (stationId: string, rateMmPerH: number) => ({
    ...config,
    site: {
      ...config.site,
      stations: config.site.stations.map((one) =>
        one.id === stationId ? { ...one, precipitationRateMmPerH: rateMmPerH } : one,
      ),
    },
  });
  const needs = () =>
    needsOf(siteStatus({ db, config, nowMs: rig.at(10), running: true, daemon: null }));
  return { ...rig, stored, withRate, needs, look: () => planWatchJob(rig.parts).work() };
}

describe('the watch over plan and site', () => {
  it('finds nothing as long as both are as they were', async () => {
    const { db, needs, look } = await confirmedSite();
    await look();
    expect(openHolds(db)).toEqual([]);
    expect(needs().map(({ code }) => code)).not.toContain('site_changed');
  });

  it('owes each output one order for a station that is another now, and none again', async () => {
    const { db, config, withRate, needs, look, steps, at } = await confirmedSite();
    useSite(db, withRate('s-2a', 72));
    expect(planInForce(db, at(10))?.heldBedIds, 'at once').toEqual(['bed-2']);
    await look();
    await look();
    expect(openOrders(db)).toMatchObject([{ output: 'file', kind: 'withdraw' }]);
    expect(openHolds(db)).toMatchObject([{ beds: ['bed-2'], who: 'dewbeat', untilMs: null }]);
    expect(steps('held').map(({ what }) => what)).toEqual([
      'bed-2: the site is not what the plan was made for: station s-2a now has 72.0 mm/h, it had 18.0 mm/h',
    ]);
    const need = needs().find(({ code }) => code === 'site_changed');
    expect(need === undefined ? '' : sayNeed(need, readerOf(config))).toMatch(
      /station s-2a now has 72\.0 mm\/h.*`dewbeat release` and confirm/,
    );
    // Taken back: what was stopped does not come back by itself.
    useSite(db, config);
    expect(planInForce(db, at(10))?.heldBedIds).toEqual(['bed-2']);
    expect(needs().map(({ code }) => code)).not.toContain('site_changed');
  });

  it('lets a fresh plan for the site as it is now lift it', async () => {
    const site = await confirmedSite();
    const { db, parts, withRate, look, at } = site;
    const changed = withRate('s-2a', 36);
    useSite(db, changed);
    await look();
    const fresh = await makePlan(
      { db, config: changed, weather: parts.weather, nowMs: at(10) },
      { cause: 'person', who: 'A. Keeper (invented)', lift: 'all' },
    );
    expect(() => site.confirm(fresh), 'by a config of before').toThrow('site_changed');
    Object.assign(site.config, changed);
    site.goTo(11);
    site.confirm(fresh);
    expect(planInForce(db, at(11))?.heldBedIds).toEqual([]);
    await look();
    expect(openHolds(db)).toEqual([]);
  });

  it('stops everything when the row of the plan in force was altered, and says so', async () => {
    const { db, stored, needs, look, at } = await confirmedSite();
    alterPlan(db, stored.planId, tenfold);
    expect(planInForce(db, at(10)), 'at once').toBeNull();
    await look();
    await look();
    expect(openHolds(db)).toMatchObject([{ beds: 'all', who: 'dewbeat' }]);
    expect(openOrders(db)).toHaveLength(1);
    expect(needs().map(({ code }) => code)).toContain('store_altered');
  });
});
