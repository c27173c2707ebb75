import { describe, expect, it } from 'vitest';
import type { SiteDay } from '../../../../adapters/site-clock.ts';
import { planNight } from '../../../../daemon/site/config/water-supply.ts';
import { configText, loadSound, problemsOf } from './sound-config.ts';

const rules = (keys: string) => configText({}, [`rules: { night_water: { ${keys} } }`]);

describe('the exceptions to no water at night', () => {
  it('are none by default, and each is off by itself', () => {
    expect(loadSound(configText()).nightWater).toBeNull();
    const { nightWater, clock } = loadSound(rules(''));
    expect(planNight(nightWater, '2026-07-01' as SiteDay, clock)).toEqual({
      dryWind: false,
      firstNight: false,
      deepRefill: null,
    });
    expect(planNight(null, '2026-07-01' as SiteDay, clock)).toBeNull();
  });

  it('have the refill as instants of the site day, over a clock change too', () => {
    const text = rules('dry_wind: true, first_night: true, deep_refill: "03:00-06:00"');
    const { nightWater, clock } = loadSound(text);
    const on = (day: string) => planNight(nightWater, day as SiteDay, clock);
    expect(on('2026-07-01')).toEqual({
      dryWind: true,
      firstNight: true,
      deepRefill: {
        startMs: Date.parse('2026-07-01T03:00:00-04:00'),
        endMs: Date.parse('2026-07-01T06:00:00-04:00'),
      },
    });
    expect(on('2026-03-08')?.deepRefill?.startMs).toBe(Date.parse('2026-03-08T03:00:00-04:00'));
  });

  it.each([
    ['deep_refill: "22:00-02:00"', 'must end later in the same day'],
    [
      'deep_refill: "3 to 6"',
      'is no stretch of the night (got 3 to 6); write it like "03:00-06:00"',
    ],
    ['wind: true', 'wind'],
  ])('refuse %s', (keys, text) => {
    expect(problemsOf(rules(keys)).join()).toContain(text);
  });
});
