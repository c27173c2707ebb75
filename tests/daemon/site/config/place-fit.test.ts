import { existsSync, readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { type Place, placeMisfit } from '../../../../daemon/site/config/site-schema.ts';
import { configText, problemsOf } from './sound-config.ts';

/** The time zone database's own list: a zone and the coordinates of its chief town, a row each. */
const ZONE_TABLE = '/usr/share/zoneinfo/zone.tab';

const at = (zone: string, latitudeDeg: number, longitudeDeg: number) =>
  placeMisfit({ zone, latitudeDeg, longitudeDeg });

describe('a zone against the coordinates', () => {
  // Towns as in any atlas.
  it.each([
    [
      'America/Denver',
      -39.7,
      -105,
      /^does not fit the latitude: its clocks are set forward in July/,
    ],
    ['Pacific/Auckland', 36.9, 174.8, /its clocks are set forward in January/],
    ['America/Phoenix', -33.4, -112, /it lies north of the equator/],
    ['Africa/Johannesburg', 26.2, 28, /it lies south of the equator/],
    [
      'Asia/Dubai',
      -25.2,
      55.3,
      /Asia lies elsewhere \(got Asia\/Dubai at -25\.2, 55\.3\); look at/,
    ],
    ['Australia/Perth', 32, 115.9, /Australia lies elsewhere/],
  ])('tells of a sign: %s at %d, %d', (zone, latitude, longitude, message) => {
    expect(at(zone, latitude, longitude)).toMatch(message);
  });

  it('tells of coordinates that have changed places', () => {
    expect(at('Europe/Amsterdam', 4.9, 52.4)).toBe(
      'does not fit the coordinates: Europe lies elsewhere (got Europe/Amsterdam at 4.9, 52.4); latitude and longitude may have changed places (52.4, 4.9 would fit), or write the zone of the site',
    );
    expect(at('America/New_York', -75, 40)).toMatch(/\(40, -75 would fit\)/);
  });

  it('is checked with the config', () => {
    const site = `site: { id: s, name: S, latitude: -40, longitude: -75, elevation: 10 m, zone: America/New_York }`;
    expect(problemsOf(configText({ 1: site }))).toEqual([
      expect.stringMatching(/^site\.yaml:1:\d+ site\.zone: does not fit the latitude.*-40\);/),
    ]);
  });

  it.skipIf(!existsSync(ZONE_TABLE))('fits every zone of the database where it lies', () => {
    const places = zoneTable();
    expect(places.length).toBeGreaterThan(350);
    expect(places.filter((place) => placeMisfit(place) !== null)).toEqual([]);
    const found = (spoilt: (place: Place) => Place) => {
      const tried = places
        // What is spoilt has to be another place, far off.
        .filter(({ latitudeDeg }) => Math.abs(latitudeDeg) > 15)
        .map(spoilt)
        .filter(({ latitudeDeg }) => Math.abs(latitudeDeg) <= 90);
      return tried.filter((place) => placeMisfit(place) !== null).length / tried.length;
    };
    expect(found((p) => ({ ...p, latitudeDeg: -p.latitudeDeg }))).toBeGreaterThan(0.8);
    // Places near the diagonal of the map stay where their zone may be.
    expect(
      found((p) => ({ ...p, latitudeDeg: p.longitudeDeg, longitudeDeg: p.latitudeDeg })),
    ).toBeGreaterThan(0.7);
  });
});

/** Rows like `NZ<tab>-3652+17446<tab>Pacific/Auckland`, degrees and minutes, sometimes seconds. */
function zoneTable(): Place[] {
  const degOf = (text: string, degrees: number) => {
    const digits = text.slice(1);
    const [deg, min, sec] = [
      Number(digits.slice(0, degrees)),
      Number(digits.slice(degrees, degrees + 2)),
      Number(digits.slice(degrees + 2) || 0),
    ];
    return (text.startsWith('-') ? -1 : 1) * (deg + min / 60 + sec / 3600);
  };
  return readFileSync(ZONE_TABLE, 'utf8')
    .split('\n')
    .filter((line) => line !== '' && !line.startsWith('#'))
    .map((line) => {
      const [, place = '', zone = ''] = line.split('\t');
      const [, latitude = '', longitude = ''] = /^([+-]\d+)([+-]\d+)$/.exec(place) ?? [];
      return { zone, latitudeDeg: degOf(latitude, 2), longitudeDeg: degOf(longitude, 3) };
    });
}
