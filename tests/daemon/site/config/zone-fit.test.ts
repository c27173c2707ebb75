import { describe, expect, it } from 'vitest';
import { zoneMisfit } from '../../../../daemon/site/config/site-schema.ts';
import { configText, problemsOf } from './sound-config.ts';

describe('a time zone against the longitude', () => {
  // Longitudes and legal times as in any atlas; the widest known gaps are in the list.
  it.each([
    ['America/Los_Angeles', -118],
    ['Europe/Madrid', -8.5],
    ['Asia/Shanghai', 74],
    ['America/Argentina/Ushuaia', -68],
    ['Pacific/Kiritimati', -157],
    ['Pacific/Auckland', 175],
    ['Pacific/Fiji', 178],
    ['Pacific/Pago_Pago', -170],
    ['Etc/GMT+3', -42],
  ])('lets %s at %d° be', (zone, longitude) => {
    expect(zoneMisfit(zone, longitude)).toBeNull();
  });

  it('tells of a sign that was forgotten, with the time at which the sun would be highest', () => {
    expect(zoneMisfit('America/Los_Angeles', 118)).toBe(
      'does not fit the longitude: by this clock the sun would be highest at 20:08 (got America/Los_Angeles at longitude 118); west is negative, so look at its sign, or write the zone of the site',
    );
    expect(zoneMisfit('Etc/UTC', -165)).toMatch(/highest at 23:00/);
  });

  it('is checked with the config, where the zone stands', () => {
    const site = (zone: string, longitude: number) =>
      configText({
        1: `site: { id: s, name: S, latitude: 33.5, longitude: ${longitude}, elevation: 10 m, zone: ${zone} }`,
      });
    expect(problemsOf(site('Etc/GMT+3', -42))).toEqual([]);
    expect(problemsOf(site('Etc/GMT+3', 42))).toEqual([
      expect.stringMatching(
        /^site\.yaml:1:\d+ site\.zone: does not fit the longitude.*at longitude 42/,
      ),
    ]);
  });
});
