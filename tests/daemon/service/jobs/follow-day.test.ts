import { describe, expect, it } from 'vitest';
import type { WeatherSource } from '../../../../adapters/weather/source.ts';
import { runStates } from '../../../../daemon/delivery/what-ran.ts';
import { followDayJob } from '../../../../daemon/service/jobs/follow-day-job.ts';
import { morningJob, revisionsJob } from '../../../../daemon/service/jobs/planning-jobs.ts';
import { holdWater, planInForce } from '../../../../daemon/site/gate/gate.ts';
import { leewayUses } from '../../../../daemon/site/store/leeway-uses.ts';
import { openOrders } from '../../../../daemon/site/store/outbox.ts';
import { newestConfirmation, newestPlan } from '../../../../daemon/site/store/plans.ts';
import { jobRig } from '../../job-rig.ts';

const HOUR_MS = 3_600_000;

/** A site that measures its weather, or does not, on a day that may turn out hotter or cooler. */
function followedSite() {
  const rig = jobRig();
  const day = { hotterK: 0, windFraction: 1, measures: true };
  const weather: WeatherSource = {
    ...rig.parts.weather,
    async read(request) {
      const reading = await rig.parts.weather.read(request);
      const hours = reading.hours.map((hour) => {
        const isPast = hour.startMs + HOUR_MS <= request.nowMs;
        return {
          ...hour,
          origin: isPast && day.measures ? ('observed' as const) : ('forecast' as const),
          airTempC: (hour.airTempC ?? 20) + day.hotterK,
          windMPerS: (hour.windMPerS ?? 3) * day.windFraction,
        };
      });
      return { ...reading, hours };
    },
  };
  const parts = { ...rig.parts, weather };
  const [morning, follow, revisions] = [
    morningJob(parts),
    followDayJob(parts),
    revisionsJob(parts),
  ];
  const uses = () => {
    const confirmation = newestConfirmation(rig.db);
    return confirmation === null ? [] : leewayUses(rig.db, confirmation.confirmationId);
  };
  return {
    ...rig,
    day,
    uses,
    follow,
    revisions,
    async begin(leewayBedIds: string[] | null) {
      await morning.work();
      rig.goTo(2);
      const stored = newestPlan(rig.db);
      if (stored === null) throw new Error('there is no plan');
      rig.confirm(stored, rig.at(2), leewayBedIds);
      return stored;
    },
    async live(fromMin: number, toMin: number) {
      for (let minutes = fromMin; minutes <= toMin; minutes += 40) {
        rig.goTo(minutes);
        await follow.work();
      }
    },
  };
}

const ALL = ['bed-1', 'bed-2', 'bed-3'];

describe('a day followed within the leeway of its plan', () => {
  it('gets more water when it turns hot and windy, under the one confirm', async () => {
    const site = followedSite();
    const stored = await site.begin(ALL);
    site.day.hotterK = 8;
    site.day.windFraction = 2;
    await site.live(17, 600);
    const uses = site.uses();
    expect(uses.length).toBeGreaterThan(0);
    expect(uses.map(({ number }) => number)).toEqual(uses.map((_, at) => at + 1));
    const last = uses.at(-1);
    const spares = last?.cycles.filter(({ origin }) => 'spare' in origin) ?? [];
    expect(spares.length).toBeGreaterThan(0);
    const inForce = planInForce(site.db, site.at(600));
    expect(inForce?.digest).toBe(stored.digest);
    expect(inForce?.change?.number).toBe(uses.length);
    // What had run stands in every change as it ran.
    for (const [at, { atMs, cycles }] of uses.entries()) {
      const before = uses[at - 1]?.cycles ?? [];
      const begun = before.filter(({ startMs }) => startMs < atMs);
      for (const cycle of begun) expect(cycles).toContainEqual(cycle);
    }
    expect(site.steps('leeway_used')).toHaveLength(uses.length);
    expect(openOrders(site.db).at(-1)?.orderId).toMatch(new RegExp(`-c${uses.length}$`));
    // The account of the day has each run once, spares among them.
    const { clock, field: rule } = site.config;
    const states = runStates(site.db, {
      siteDay: clock.siteDayOf(site.at(600)),
      clock,
      nowMs: site.at(600),
      rule,
    });
    const keys = states.map(({ run }) => `${run.stationId} ${run.startMs}`);
    expect(new Set(keys).size).toBe(keys.length);
    for (const spare of spares) {
      for (const run of spare.runs) expect(keys).toContain(`${run.stationId} ${run.startMs}`);
    }
  });

  it('sums the day up in one line of the log once its water is over', async () => {
    const site = followedSite();
    const stored = await site.begin(ALL);
    site.day.hotterK = 8;
    site.day.windFraction = 2;
    await site.live(17, 300);
    const during = site.steps('leeway_used').length;
    const overMin = ((stored.plan.ground?.lastEndMs ?? 0) - site.at(0)) / 60_000 + 1;
    await site.live(overMin, overMin + 80);
    const evening = site.steps('leeway_used').slice(during);
    expect(evening).toHaveLength(1);
    expect(evening[0]?.what).toMatch(
      /^The day within its leeway: \d+ left out, \d+ moved, \d+ added\.$/,
    );
  });

  it('leaves cycles out when it stays cool', async () => {
    const site = followedSite();
    await site.begin(ALL);
    site.day.hotterK = -8;
    site.day.windFraction = 0.4;
    await site.live(17, 600);
    const confirmed = newestPlan(site.db)?.plan.beds.flatMap(({ cycles }) => cycles) ?? [];
    expect(site.uses().at(-1)?.cycles.length ?? confirmed.length).toBeLessThanOrEqual(
      confirmed.length,
    );
  });

  it('stands as laid without a leeway, without measurements, and after a stop', async () => {
    const laid = followedSite();
    await laid.begin(null);
    laid.day.hotterK = 8;
    await laid.live(17, 300);
    expect(laid.uses()).toEqual([]);

    const blind = followedSite();
    await blind.begin(ALL);
    blind.day.hotterK = 8;
    blind.day.measures = false;
    await blind.live(17, 300);
    expect(blind.uses()).toEqual([]);

    const stopped = followedSite();
    await stopped.begin(ALL);
    stopped.day.hotterK = 8;
    stopped.day.windFraction = 2;
    await stopped.live(17, 120);
    const before = stopped.uses().length;
    holdWater(
      { db: stopped.db, clock: stopped.config.clock, outputs: ['file'], nowMs: stopped.at(121) },
      { who: 'B. Keeper (invented)', why: 'people', beds: ['bed-3'], untilMs: null },
    );
    await stopped.live(135, 400);
    expect(stopped.uses()).toHaveLength(before);
  });

  it('asks nobody for a revision while its leeway will do', async () => {
    const site = followedSite();
    await site.begin(ALL);
    site.day.hotterK = 3;
    for (let minutes = 17; minutes <= 300; minutes += 60) {
      site.goTo(minutes);
      await site.follow.work();
      await site.revisions.work();
    }
    expect(newestPlan(site.db)?.plan.revision).toBe(1);
  });
});
