import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { SiteDay } from '../../../../adapters/site-clock.ts';
import { demoConfigText, placeInTheMorning } from '../../../../daemon/site/config/demo.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';
import { loadSound } from './sound-config.ts';

const HOUR_MS = 3_600_000;

/** Any instant of some years, leap days and turns of the year among them. */
const anyInstant = fc.integer({
  min: Date.UTC(2024, 0, 1),
  max: Date.UTC(2032, 0, 1),
});

describe('the embedded demo', () => {
  it('is sound whenever it is first started, and wakes in the early morning', () => {
    fc.assert(
      fc.property(anyInstant, (nowMs) => {
        const place = placeInTheMorning(nowMs);
        const clock = siteClock(place.zone);
        expect(clock.localOf(nowMs).hour).toBe(5);
        expect(Math.abs(place.longitude)).toBeLessThanOrEqual(180);
        const config = loadSound(demoConfigText({ day: clock.siteDayOf(nowMs), ...place }));
        expect(config.site.beds).toHaveLength(6);
        expect(config.site.stations).toHaveLength(18);
        // Solar noon falls near the zone's noon: the sun of the site agrees with its clock.
        const noonMs = clock.startOf(clock.siteDayOf(nowMs)) + 12 * HOUR_MS;
        const sunHour = (new Date(noonMs).getUTCHours() + place.longitude / 15 + 48) % 24;
        expect(sunHour).toBe(12);
      }),
      { seed: 31, numRuns: 100 },
    );
  });

  it('has weather for today and the days around it, and says that it is invented', () => {
    const day = '2028-02-29' as SiteDay;
    const text = demoConfigText({ day, zone: 'Etc/GMT+2', longitude: -30 });
    const { weather, site } = loadSound(text);
    if (!('source' in weather) || weather.source !== 'outlook')
      throw new Error('the demo has another source');
    const days = weather.days.map((row) => row.day);
    expect(days).toContain('2028-02-28');
    expect(days).toContain(day);
    expect(days).toContain('2028-03-01');
    expect(weather.usual.map(({ month }) => month)).toEqual([
      1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12,
    ]);
    expect(text).toMatch(/^# .*invented/);
    expect(site.name).toContain('invented');
  });
});
