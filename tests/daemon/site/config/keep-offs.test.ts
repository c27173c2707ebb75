import { describe, expect, it } from 'vitest';
import type { SiteDay } from '../../../../adapters/site-clock.ts';
import { keepOffsOn } from '../../../../daemon/site/config/keep-offs.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';
import { configText, loadSound } from './sound-config.ts';

/** The keep-offs of a day as text, in the site's time. */
function on(day: string, keepOffs: string[], zone = 'America/New_York'): string[] {
  const config = loadSound(
    configText({}, ['keep_offs:', ...keepOffs.map((line) => `  - ${line}`)]),
  );
  const clock = siteClock(zone);
  return keepOffsOn(day as SiteDay, config, clock).map(
    ({ bedId, startMs, endMs, why }) =>
      `${bedId} ${clock.isoOf(startMs)} ${clock.isoOf(endMs)} ${why}`,
  );
}

describe('daily keep-offs', () => {
  const mow = '{ beds: [g1], from: "06:00", to: "07:30", why: mow, days: [mon, fri] }';

  it('stand on their days of the week', () => {
    // 2026-07-03 was a Friday.
    expect(on('2026-07-03', [mow])).toEqual([
      'g1 2026-07-03T06:00:00-04:00 2026-07-03T07:30:00-04:00 mow',
    ]);
    expect(on('2026-07-04', [mow])).toEqual([]);
    expect(on('2026-07-06', [mow])).toHaveLength(1);
  });

  it('stand on every bed when all are meant', () => {
    const all = '{ from: "12:00", to: "12:30", why: visitors }';
    expect(on('2026-07-04', [all]).map((line) => line.slice(0, 2))).toEqual(['g1', 'g2']);
  });

  it('may run through midnight: both nights that touch the day', () => {
    const covers = '{ beds: [g2], from: "20:00", to: "05:00", why: covers }';
    expect(on('2026-07-04', [covers])).toEqual([
      'g2 2026-07-03T20:00:00-04:00 2026-07-04T05:00:00-04:00 covers',
      'g2 2026-07-04T20:00:00-04:00 2026-07-05T05:00:00-04:00 covers',
    ]);
    const fridays = covers.replace('why: covers', 'why: covers, days: [fri]');
    expect(on('2026-07-04', [fridays])).toEqual([
      'g2 2026-07-03T20:00:00-04:00 2026-07-04T05:00:00-04:00 covers',
    ]);
  });

  it('keep to the wall clock over a clock change', () => {
    // 2026-03-08: 02:00 to 03:00 does not exist in New York.
    expect(on('2026-03-08', ['{ beds: [g1], from: "02:30", to: "04:00", why: roll }'])).toEqual([
      'g1 2026-03-08T03:00:00-04:00 2026-03-08T04:00:00-04:00 roll',
    ]);
    // Wholly inside the gap: nothing is left of it.
    expect(on('2026-03-08', ['{ beds: [g1], from: "02:10", to: "02:50", why: roll }'])).toEqual([]);
    // 2026-11-01: 01:00 to 02:00 comes twice; the earlier instant counts.
    expect(on('2026-11-01', ['{ beds: [g1], from: "01:30", to: "03:00", why: roll }'])).toEqual([
      'g1 2026-11-01T01:30:00-04:00 2026-11-01T03:00:00-05:00 roll',
    ]);
  });

  it('run through a night of another length over a clock change', () => {
    const covers = '{ beds: [g1], from: "20:00", to: "06:00", why: covers }';
    const hoursOf = (line: string) => {
      const [, from = '', to = ''] = line.split(' ');
      return (Date.parse(to) - Date.parse(from)) / 3_600_000;
    };
    // The night into 2026-03-08 is an hour shorter, the one into 2026-11-01 an hour longer.
    expect(on('2026-03-08', [covers]).map(hoursOf)).toEqual([9, 10]);
    expect(on('2026-11-01', [covers]).map(hoursOf)).toEqual([11, 10]);
    expect(on('2026-11-01', [covers])[0]).toBe(
      'g1 2026-10-31T20:00:00-04:00 2026-11-01T06:00:00-05:00 covers',
    );
  });

  it('on one day of the week stand in the morning after it too, and only there', () => {
    // 2026-11-01 was a Sunday, and the clocks went back in its night.
    const sundays = '{ beds: [g1], from: "23:00", to: "01:30", why: roll, days: [sun] }';
    expect(on('2026-10-31', [sundays])).toEqual([]);
    expect(on('2026-11-01', [sundays])).toHaveLength(1);
    expect(on('2026-11-02', [sundays])).toEqual([
      'g1 2026-11-01T23:00:00-05:00 2026-11-02T01:30:00-05:00 roll',
    ]);
    expect(on('2026-11-03', [sundays])).toEqual([]);
  });
});

describe('dated keep-offs', () => {
  const spray = '{ beds: [g1], from: "2026-07-03 18:00", to: "2026-07-05 09:00", why: spray }';

  it('stand on every day that they touch, at their whole length', () => {
    const whole = ['g1 2026-07-03T18:00:00-04:00 2026-07-05T09:00:00-04:00 spray'];
    expect(on('2026-07-02', [spray])).toEqual([]);
    expect(on('2026-07-03', [spray])).toEqual(whole);
    expect(on('2026-07-04', [spray])).toEqual(whole);
    expect(on('2026-07-05', [spray])).toEqual(whole);
    expect(on('2026-07-06', [spray])).toEqual([]);
  });

  it('come in order of time among the others', () => {
    const early = '{ beds: [g1], from: "06:00", to: "06:30", why: mow }';
    const late = '{ beds: [g1], from: "19:00", to: "19:30", why: look }';
    expect(on('2026-07-03', [late, spray, early]).map((line) => line.split(' ').at(-1))).toEqual([
      'mow',
      'spray',
      'look',
    ]);
  });
});
