import { describe, expect, it } from 'vitest';
import { type WeatherSource, WeatherUnreadable } from '../../../../adapters/weather/source.ts';
import { planningWeather } from '../../../../daemon/planning/planning-context.ts';
import { forecastRecordJob } from '../../../../daemon/service/jobs/forecast-record-job.ts';
import { morningJob } from '../../../../daemon/service/jobs/planning-jobs.ts';
import {
  forecastRecord,
  foretoldSince,
  hasKeptForecast,
  keptForecastsSince,
} from '../../../../daemon/site/store/forecast-record.ts';
import { jobRig } from '../../job-rig.ts';

const HOUR_MIN = 60;
const HOUR_MS = 3_600_000;

/** A site whose source foretells and measures; what it measures is 2 K warmer than it foretold. */
function foretellingSite() {
  const rig = jobRig();
  const state = { away: false, measures: true, foretells: true, reads: 0 };
  const weather: WeatherSource = {
    ...rig.parts.weather,
    async read(request) {
      state.reads++;
      if (state.away) throw new WeatherUnreadable('away (got nothing)');
      const reading = await rig.parts.weather.read(request);
      const hours = reading.hours.flatMap((hour) => {
        const isPast = hour.startMs + HOUR_MS <= request.nowMs;
        if (!(isPast ? state.measures : state.foretells)) return [];
        const origin = isPast ? ('observed' as const) : ('forecast' as const);
        return [{ ...hour, origin, airTempC: (hour.airTempC ?? 0) + (isPast ? 2 : 0) }];
      });
      return { ...reading, hours, usual: reading.hours };
    },
  };
  const parts = { ...rig.parts, weather };
  return { ...rig, weather, state, morning: morningJob(parts), job: forecastRecordJob(parts) };
}

describe('the record of forecasts', () => {
  it('keeps what the morning plan was planned on, once a day', async () => {
    const site = foretellingSite();
    await site.job.work();
    expect(keptForecastsSince(site.db, 0)).toEqual([]);
    await site.morning.work();
    site.goTo(1);
    await site.job.work();
    site.goTo(200);
    await site.job.work();
    const kept = keptForecastsSince(site.db, 0);
    expect(kept).toHaveLength(1);
    expect(kept[0]?.madeMs).toBe(site.at(1));
    expect(kept[0]?.hours).toHaveLength(48);
    const [first] = kept[0]?.hours ?? [];
    expect(first?.startMs).toBeGreaterThanOrEqual(site.at(1));
    expect((first?.startMs ?? 0) - site.at(1)).toBeLessThan(HOUR_MS);
    expect(hasKeptForecast(site.db, site.config.clock.siteDayOf(site.at(1)))).toBe(true);
  });

  it('tells how wrong it was, stretch by stretch, when that has been measured', async () => {
    const site = foretellingSite();
    await site.morning.work();
    await site.job.work();
    const leads = () => forecastRecord(site.db, 0).map(({ leadFromH }) => leadFromH);
    site.goTo(3 * HOUR_MIN);
    await site.job.work();
    expect(leads()).toEqual([]);
    site.goTo(5 * HOUR_MIN);
    await site.job.work();
    expect(leads()).toEqual([0]);
    site.goTo(26 * HOUR_MIN);
    await site.job.work();
    expect(leads()).toEqual([0, 3, 6, 12]);
    site.goTo(50 * HOUR_MIN);
    await site.job.work();
    await site.job.work();
    const record = forecastRecord(site.db, 0);
    expect(leads()).toEqual([0, 3, 6, 12, 24]);
    for (const error of record) {
      expect(error.madeMs).toBe(site.at(0));
      expect(error.airTempK).toBeCloseTo(2, 2);
      expect(error.windLog).toBeCloseTo(0, 2);
    }
    expect(forecastRecord(site.db, site.at(1))).toEqual([]);
  });

  it('notes what the next hour is foretold to be, and moves the hours ahead by what came', async () => {
    const site = foretellingSite();
    await site.morning.work();
    for (let hour = 0; hour <= 9; hour++) {
      site.goTo(hour * HOUR_MIN);
      await site.job.work();
      await site.job.work();
    }
    const noted = foretoldSince(site.db, 0);
    expect(noted).toHaveLength(10);
    for (const { startMs } of noted) expect(startMs % HOUR_MS).toBe(0);
    const nowMs = site.at(9 * HOUR_MIN + 1);
    const span = { fromMs: nowMs, toMs: nowMs + 12 * HOUR_MS, nowMs };
    const dayStartMs = site.config.clock.startOf(site.config.clock.siteDayOf(nowMs));
    const plain = await planningWeather(site.weather, site.config.site, { ...span, dayStartMs });
    const moved = await planningWeather(site.weather, site.config.site, {
      ...span,
      dayStartMs,
      foretold: foretoldSince(site.db, dayStartMs),
    });
    expect([plain.isMoved, moved.isMoved]).toEqual([false, true]);
    // Two kelvins hotter than foretold: the next hours are so too, those of the evening less.
    const shifts = moved.hours.map((hour, at) => hour.airTempC - (plain.hours[at]?.airTempC ?? 0));
    expect(shifts[1]).toBeGreaterThan(1.5);
    expect(shifts[1]).toBeLessThan(2);
    expect(shifts.at(-1)).toBeLessThan(1.2);
    expect(shifts.at(-1)).toBeGreaterThan(0.4);
    // A person who has called the day has counted that already.
    const call = { hotterK: 2, windFraction: 1, cloudierFraction: 0, atMs: nowMs };
    const called = await planningWeather(site.weather, site.config.site, {
      ...span,
      dayStartMs,
      foretold: foretoldSince(site.db, dayStartMs),
      called: [{ calls: [call], endMs: dayStartMs + 24 * HOUR_MS }],
    });
    expect(called.isMoved).toBe(false);
  });

  it('keeps nothing where another day stands in, and tries again in an hour', async () => {
    const site = foretellingSite();
    site.state.foretells = false;
    await site.morning.work();
    await site.job.work();
    expect(keptForecastsSince(site.db, 0)).toEqual([]);
    site.state.foretells = true;
    const { reads } = site.state;
    site.goTo(30);
    await site.job.work();
    expect(site.state.reads).toBe(reads);
    site.goTo(61);
    await site.job.work();
    expect(keptForecastsSince(site.db, 0)).toHaveLength(1);
  });

  it('has no errors of what nobody measured, and is not stopped by weather that is away', async () => {
    const site = foretellingSite();
    await site.morning.work();
    await site.job.work();
    site.state.measures = false;
    site.goTo(30 * HOUR_MIN);
    await site.job.work();
    expect(forecastRecord(site.db, 0)).toEqual([]);
    site.state.away = true;
    site.goTo(32 * HOUR_MIN);
    await expect(site.job.work()).resolves.toBeUndefined();
    site.state.away = false;
    site.state.measures = true;
    site.goTo(34 * HOUR_MIN);
    await site.job.work();
    expect(forecastRecord(site.db, 0).length).toBe(4);
  });
});
