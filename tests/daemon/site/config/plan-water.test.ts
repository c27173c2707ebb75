import { describe, expect, it } from 'vitest';
import { planWater } from '../../../../daemon/site/config/water-supply.ts';
import { parseSiteDay, siteClock } from '../../../../daemon/site/time/site-clock.ts';
import { configText, loadSound, problemsOf } from './sound-config.ts';

const clock = siteClock('America/New_York');
const day = parseSiteDay('2026-07-01') ?? clock.siteDayOf(0);

describe('the water of a config', () => {
  it('is not known unless it is told', () => {
    expect(loadSound(configText()).water).toBeNull();
    expect(planWater(null, day, clock)).toBeNull();
  });

  it('gives its salinity in dS/m, and no hours for water that is not reclaimed', () => {
    const { water } = loadSound(configText({}, ['water: { ec: 1100 µS/cm }']));
    expect(planWater(water, day, clock)).toEqual({ salinityDSPerM: 1.1, permitted: null });
  });

  it('lets reclaimed water run from 22:00 to 06:00 where no hours are told', () => {
    const { water } = loadSound(configText({}, ['water: { reclaimed: true }']));
    const told = planWater(water, day, clock);
    expect(
      told?.permitted?.map(({ startMs, endMs }) => [clock.isoOf(startMs), clock.isoOf(endMs)]),
    ).toEqual([
      ['2026-06-30T22:00:00-04:00', '2026-07-01T06:00:00-04:00'],
      ['2026-07-01T22:00:00-04:00', '2026-07-02T06:00:00-04:00'],
    ]);
  });

  it('takes hours within the day as they are', () => {
    const line = 'water: { reclaimed: true, permitted: { from: "04:00", to: "09:30" } }';
    const told = planWater(loadSound(configText({}, [line])).water, day, clock);
    expect(clock.isoOf(told?.permitted?.[1]?.endMs ?? 0)).toBe('2026-07-01T09:30:00-04:00');
  });

  it('refuses permitted hours of water that is not reclaimed', () => {
    const line = 'water: { permitted: { from: "04:00", to: "09:30" } }';
    expect(problemsOf(configText({}, [line]))[0]).toContain('set reclaimed: true');
  });

  it('gives the frost limit, 2 °C unless told', () => {
    expect(loadSound(configText()).frostLimitC).toBe(2);
    expect(loadSound(configText({}, ['rules: { frost_limit: 37.4 °F }'])).frostLimitC).toBeCloseTo(
      3,
      9,
    );
  });
});
