import { describe, expect, it } from 'vitest';
import { holdStandings } from '../../../../daemon/planning/open-holds.ts';
import { holdWatchJob } from '../../../../daemon/service/jobs/hold-watches.ts';
import { morningJob } from '../../../../daemon/service/jobs/planning-jobs.ts';
import { holdWater, planInForce } from '../../../../daemon/site/gate/gate.ts';
import { openHolds } from '../../../../daemon/site/store/holds-and-keep-offs.ts';
import { newestPlan } from '../../../../daemon/site/store/plans.ts';
import { jobRig } from '../../job-rig.ts';

async function heldSite(untilMin: number | null) {
  const rig = jobRig();
  await morningJob(rig.parts).work();
  const stored = newestPlan(rig.db);
  if (stored === null) throw new Error('there is no plan');
  rig.goTo(2);
  rig.confirm(stored);
  // Right after the first cycle, when the beds are full.
  rig.goTo(120);
  holdWater(
    { db: rig.db, clock: rig.config.clock, outputs: ['file'], nowMs: rig.at(120) },
    {
      who: 'A. Keeper (invented)',
      why: 'leak',
      beds: ['bed-1'],
      untilMs: untilMin === null ? null : rig.at(untilMin),
    },
  );
  const job = holdWatchJob(rig.parts);
  return {
    ...rig,
    async goAndWork(minutes: number) {
      rig.goTo(minutes);
      await job.work();
    },
    told: () => rig.steps('hold_reminder').map((step) => step.what),
  };
}

describe('the watch over holds', () => {
  it('reminds at half, a quarter and zero of the time that the bed had, each once', async () => {
    const site = await heldSite(null);
    const [standing] = holdStandings(site.db, site.config, site.at(120));
    const had = standing?.beds[0]?.hadMs ?? 0;
    expect(standing?.beds.map((bed) => bed.bedId)).toEqual(['bed-1']);
    expect(had).toBeGreaterThan(3_600_000);
    const hadMin = had / 60_000;
    const counts: number[] = [];
    for (const share of [0, 0.45, 0.55, 0.6, 0.74, 0.8, 0.97, 1.02, 1.1]) {
      await site.goAndWork(Math.round(120 + hadMin * share));
      counts.push(site.told().length);
    }
    expect(counts).toEqual([0, 0, 1, 1, 1, 2, 2, 3, 3]);
    expect(site.told()[0]).toMatch(/Bed 1 has .* left, dry at .* Half of the time/);
    expect(site.told()[1]).toContain('Three quarters');
    expect(site.told()[2]).toContain('The seedbed is dry');
    expect(newestPlan(site.db)?.plan.revision, 'no plan of its own').toBe(1);
  });

  it('says loudly when its time is over, proposes a plan that lifts it, and lifts nothing', async () => {
    const site = await heldSite(150);
    await site.goAndWork(149);
    expect(newestPlan(site.db)?.plan.revision).toBe(1);
    await site.goAndWork(151);
    await site.goAndWork(152);
    expect(site.told()).toHaveLength(1);
    expect(site.told()[0]).toMatch(/^WATER IS STILL STOPPED .* meant until 07:30\./);
    const newest = newestPlan(site.db);
    expect(newest).toMatchObject({ cause: 'hold_over', lifts: [1] });
    expect(newest?.plan.revision).toBe(2);
    expect(newest?.plan.runs.some((run) => run.bedId === 'bed-1')).toBe(true);
    expect(openHolds(site.db)).toHaveLength(1);
    expect(planInForce(site.db, site.at(152))?.heldBedIds).toEqual(['bed-1']);
  });
});
