import { describe, expect, it } from 'vitest';
import { absenceWatchJob } from '../../../../daemon/service/jobs/absence-watch.ts';
import { morningJob } from '../../../../daemon/service/jobs/planning-jobs.ts';
import { planInForce } from '../../../../daemon/site/gate/gate.ts';
import { addAttempt } from '../../../../daemon/site/store/outbox.ts';
import { newestPlan } from '../../../../daemon/site/store/plans.ts';
import { writeLastLook } from '../../../../daemon/site/store/running-daemon.ts';
import { jobRig } from '../../job-rig.ts';

const MIN_MS = 60_000;

/** A site with its morning plan, confirmed at minute 2, and sent then or not at all. */
async function runningSite(given: { sent?: boolean; startMs?: number } = {}) {
  const rig = jobRig(given.startMs === undefined ? {} : { startMs: given.startMs });
  const morning = morningJob(rig.parts);
  await morning.work();
  const stored = newestPlan(rig.db);
  if (stored === null) throw new Error('there is no plan');
  rig.goTo(2);
  const orderId = rig.confirm(stored, given.sent === false ? null : rig.at(2));
  let steadyMs = 0;
  let job = absenceWatchJob(rig.parts, () => steadyMs);
  const look = () => job.work();
  await look();
  return {
    ...rig,
    orderId,
    stored,
    look,
    morning,
    /** The power goes; the daemon is back at a minute, and looks twice. */
    async cutUntil(minutes: number) {
      job = absenceWatchJob(rig.parts, () => steadyMs);
      rig.goTo(minutes);
      await look();
      rig.goTo(minutes + 1);
      steadyMs += MIN_MS;
      await look();
    },
    /** The wall clock is elsewhere a minute later, by the steady clock. */
    async setTo(minutes: number) {
      rig.goTo(minutes);
      steadyMs += MIN_MS;
      await look();
      rig.goTo(minutes + 1);
      steadyMs += MIN_MS;
      await look();
    },
    told: () => rig.steps('away').map((step) => step.what),
    plans: () => newestPlan(rig.db),
  };
}

describe('the watch over absences', () => {
  it('says nothing of a cut of a minute, nor when all goes its way', async () => {
    const site = await runningSite();
    await site.cutUntil(3);
    for (let minutes = 5; minutes < 9; minutes++) {
      site.goTo(minutes);
    }
    expect(site.told()).toEqual([]);
    expect(site.plans()?.plan.revision).toBe(1);
  });

  it('lists what was never sent in an hour, and proposes a catch-up that runs none of it', async () => {
    const site = await runningSite({ sent: false });
    await site.cutUntil(240);
    expect(site.told()).toHaveLength(1);
    expect(site.told()[0]).toMatch(
      /^The daemon did not run from 05:02 to 09:00\. Missed, not made up for: 5 runs \(08:\d\d bed-\d s-\d\w, .*\)\.$/,
    );
    const { cause, plan } = site.plans() ?? {};
    expect(cause).toBe('restart');
    expect(plan?.revision).toBe(2);
    expect(plan?.warnings.map((one) => one.code)).toEqual(
      expect.arrayContaining(['catch_up', 'missed_away']),
    );
    expect(plan?.runs.every((run) => run.startMs > site.at(241))).toBe(true);
    expect(planInForce(site.db, site.at(242))?.plan.revision, 'held').toBe(1);
    await site.cutUntil(243);
    expect(site.told(), 'no second list').toHaveLength(1);
    expect(site.plans()?.plan.revision).toBe(2);
  });

  it('does not guess where the receiver has the plan', async () => {
    const site = await runningSite();
    await site.cutUntil(240);
    expect(site.told()[0]).toMatch(
      /Nobody can say whether they ran: 5 runs \(.*look at the turf\.$/,
    );
    const plan = site.plans()?.plan;
    expect(plan?.revision).toBe(2);
    // Counted as run: no bed drinks twice.
    const bed = plan?.beds[0];
    expect(bed?.storeNowMm).toBeGreaterThan(0.9);
  });

  it('takes the receiver’s word where it reports', async () => {
    const site = await runningSite();
    const runs = site.stored.plan.runs.filter((run) => run.startMs < site.at(240));
    site.goTo(239);
    for (const run of runs) site.report(run.stationId, { startMs: run.startMs, runS: run.runS });
    await site.cutUntil(240);
    expect(site.told()[0]).toBe(
      'The daemon did not run from 05:02 to 09:00. Reported as run: 5 runs.',
    );
    expect(site.plans()?.plan.revision).toBe(1);
  });

  it('goes over a whole day without a burst: the new day has its own morning plan', async () => {
    const site = await runningSite();
    await site.cutUntil(48 * 60 + 10);
    expect(site.told()[0]).toMatch(
      /^The daemon did not run from 2026-07-01 05:02 to 2026-07-03 05:10\. Nobody can .* No morning plan for 2026-07-02\.$/,
    );
    expect(site.plans()?.plan.siteDay).toBe('2026-07-01');
    await site.morning.work();
    const { plan, cause } = site.plans() ?? {};
    expect({ cause, siteDay: plan?.siteDay }).toEqual({ cause: 'morning', siteDay: '2026-07-03' });
    expect(plan?.warnings.some((one) => one.code === 'missed_away')).toBe(true);
  });

  it('tells of a clock set forward, and of one set back, and runs nothing again', async () => {
    const site = await runningSite();
    await site.setTo(122);
    expect(site.told()[0]).toMatch(
      /^The machine slept, or its clock was set forward, from 05:02 to 07:02/,
    );
    const revision = site.plans()?.plan.revision;
    await site.setTo(62);
    expect(site.told()[1]).toBe('The clock was set back from 07:03 to 06:02. Nothing was missed.');
    expect(site.plans()?.plan.revision).toBe(revision);
  });

  it('lists again after a second cut what the first had no time to list', async () => {
    const site = await runningSite({ sent: false });
    const first = absenceWatchJob(site.parts, () => 0);
    site.goTo(90);
    await first.work();
    await site.cutUntil(240);
    expect(site.told()).toHaveLength(1);
    expect(site.told()[0]).toContain('from 05:02 to 09:00. Missed');
  });

  it.each([
    ['spring', '2026-03-08T00:30:00-08:00'],
    ['autumn', '2026-11-01T00:30:00-09:00'],
  ])('tells nothing over the clock change of %s', async (_, start) => {
    const rig = jobRig({ startMs: Date.parse(start) });
    let steadyMs = 0;
    const job = absenceWatchJob(rig.parts, () => steadyMs);
    for (let minutes = 0; minutes < 240; minutes++) {
      rig.goTo(minutes);
      steadyMs = minutes * MIN_MS;
      await job.work();
    }
    expect(rig.steps('away')).toEqual([]);
  });

  it('keeps an order that went out late among the missed', async () => {
    const site = await runningSite({ sent: false });
    writeLastLook(site.config.dataFolder, site.at(2));
    site.goTo(240);
    const late = { orderId: site.orderId, output: 'file', atMs: site.at(240), detail: '' };
    addAttempt(site.db, { ...late, answer: 'accepted' });
    await site.cutUntil(241);
    expect(site.told()[0]).toContain('Missed, not made up for: 5 runs');
  });
});
