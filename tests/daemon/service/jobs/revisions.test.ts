import { describe, expect, it } from 'vitest';
import type { WeatherSource } from '../../../../adapters/weather/source.ts';
import { morningJob, revisionsJob } from '../../../../daemon/service/jobs/planning-jobs.ts';
import { planInForce } from '../../../../daemon/site/gate/gate.ts';
import { newestPlan } from '../../../../daemon/site/store/plans.ts';
import { toldOf } from '../../../reader.ts';
import { jobRig } from '../../job-rig.ts';

/** A site whose weather the test can make hotter and windier from one read to the next. */
function weatherSite() {
  const rig = jobRig();
  const change = { windFraction: 1, hotterK: 0 };
  const weather: WeatherSource = {
    ...rig.parts.weather,
    async read(request) {
      const reading = await rig.parts.weather.read(request);
      return {
        ...reading,
        hours: reading.hours.map((hour) => ({
          ...hour,
          airTempC: (hour.airTempC ?? 20) + change.hotterK,
          windMPerS: (hour.windMPerS ?? 3) * change.windFraction,
        })),
      };
    },
  };
  const parts = { ...rig.parts, weather };
  const [morning, revisions] = [morningJob(parts), revisionsJob(parts)];
  return {
    ...rig,
    change,
    async work() {
      await morning.work();
      await revisions.work();
    },
    newest() {
      const stored = newestPlan(rig.db);
      if (stored === null) throw new Error('there is no plan');
      return stored;
    },
  };
}

describe('revisions through the day', () => {
  it('makes none while the weather stays, and the plan in force stays in force', async () => {
    const site = weatherSite();
    await site.work();
    site.goTo(2);
    site.confirm(site.newest());
    for (let minutes = 3; minutes <= 600; minutes += 40) {
      site.goTo(minutes);
      await site.work();
    }
    expect(site.newest().plan.revision).toBe(1);
  });

  it('keeps one, held, with its reason, when wind and heat come up', async () => {
    const site = weatherSite();
    await site.work();
    site.goTo(2);
    site.confirm(site.newest());
    site.goTo(240);
    await site.work();
    site.change.windFraction = 2.5;
    site.change.hotterK = 8;
    site.goTo(250);
    await site.work();
    expect(site.newest().plan.revision, 'it has just looked').toBe(1);
    site.goTo(255);
    await site.work();
    const { cause, plan, digest } = site.newest();
    expect({ cause, revision: plan.revision }).toEqual({ cause: 'weather', revision: 2 });
    expect(plan.warnings[0]).toMatchObject({ code: 'revised' });
    expect(toldOf(plan, 'revised')[0]).toMatch(
      /^Bed \d dries .* earlier, at \d\d:\d\d \(\d\d:\d\d to \d\d:\d\d\) instead of \d\d:\d\d: wind .* m\/s instead of .*, high of 38\.0 °C instead of 30\.0 °C/,
    );
    expect(site.steps('plan_made').at(-1)).toMatchObject({ digest, revision: 2 });
    expect(site.steps('plan_made').at(-1)?.what).toContain('weather: ');
    expect(planInForce(site.db, site.at(256))?.plan.revision).toBe(1);
    for (let minutes = 271; minutes <= 420; minutes += 15) {
      site.goTo(minutes);
      await site.work();
    }
    expect(site.newest().plan.revision, 'nothing more while it stays so').toBe(2);
  });

  it('makes no plan of its own before the morning plan', async () => {
    const site = weatherSite();
    site.goTo(-240);
    await site.work();
    expect(newestPlan(site.db)).toBeNull();
  });
});
