import fc from 'fast-check';
import { getTimes } from 'suncalc';
import { describe, expect, it } from 'vitest';
import { riseCosine, sunPosition, sunTimes } from '../../../calc/sky/sun-times.ts';
import { SUN_POSITION_ROWS, SUN_TIMES_ROWS } from '../../tables/sky-sun-times.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

/** First instant of a solar day: a stand-in for a local midnight without a zone. */
const solarMidnight = (day: number, longitudeDeg: number): number =>
  Date.UTC(2024, 0, 1 + day) - (longitudeDeg / 15) * HOUR_MS;

describe('position of the sun', () => {
  it.each(SUN_POSITION_ROWS)("matches NOAA's sheet at $atMs", (row) => {
    const sun = sunPosition(row.atMs);
    // The sheet prints four to six decimals.
    expect(sun.declinationDeg).toBeCloseTo(row.declinationDeg, 4);
    expect(sun.equationOfTimeMin).toBeCloseTo(row.equationOfTimeMin, 5);
    const angleDeg = (Math.acos(riseCosine(row.latitudeDeg, sun.declinationDeg)) * 180) / Math.PI;
    expect(angleDeg).toBeCloseTo(row.sunriseAngleDeg, 5);
  });

  it('refuses what is no instant', () => {
    expect(() => sunPosition(Number.NaN)).toThrow(
      'sunPosition: not an instant (got NaN); give epoch milliseconds',
    );
  });
});

describe('sunrise, noon and sunset', () => {
  it('keeps its tables whole', () => {
    expect(SUN_TIMES_ROWS).toHaveLength(7);
    expect(SUN_POSITION_ROWS).toHaveLength(2);
  });

  // NOAA's sheet works a whole row at the row's instant and states one minute; SPA is to the second.
  it.each(SUN_TIMES_ROWS)('are within a minute of $source ($dayStartMs)', (row) => {
    const times = sunTimes(row);
    const pairs: [number | null, number | null][] = [
      [times.sunriseMs, row.sunriseS],
      [times.noonMs, row.noonS],
      [times.sunsetMs, row.sunsetS],
    ];
    const compared = pairs.filter(([, published]) => published !== null);
    expect(compared.length).toBeGreaterThan(0);
    for (const [oursMs, publishedS] of compared) {
      const offS = ((oursMs ?? Number.NaN) - row.dayStartMs) / 1000 - (publishedS ?? Number.NaN);
      expect(Math.abs(offS)).toBeLessThan(row.source.startsWith('NOAA') ? 60 : 2);
    }
  });

  it('agree with an independent library over the year and the globe within five seconds', () => {
    let compared = 0;
    for (const latitudeDeg of [-65, -50, -35, -20, 0, 20, 35, 50, 60, 65, 70]) {
      for (const longitudeDeg of [-170, -105, 0, 90, 179]) {
        for (let day = 0; day < 366; day += 7) {
          const dayStartMs = solarMidnight(day, longitudeDeg);
          const ours = sunTimes({ dayStartMs, latitudeDeg, longitudeDeg });
          const theirs = getTimes(new Date(dayStartMs + DAY_MS / 2), latitudeDeg, longitudeDeg);
          expect(Math.abs(ours.noonMs - theirs.solarNoon.getTime())).toBeLessThan(5000);
          expect(ours.sunriseMs === null).toBe(theirs.sunrise === null);
          if (ours.sunriseMs === null || ours.sunsetMs === null) continue;
          compared += 1;
          expect(Math.abs(ours.sunriseMs - (theirs.sunrise?.getTime() ?? Number.NaN))).toBeLessThan(
            5000,
          );
          expect(Math.abs(ours.sunsetMs - (theirs.sunset?.getTime() ?? Number.NaN))).toBeLessThan(
            5000,
          );
        }
      }
    }
    expect(compared).toBeGreaterThan(2500);
  });

  it('come in order around the noon of the local day, or not at all', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: -5000, max: 30_000 }),
        // Zones run up to three hours off the sun, and clock changes an hour more.
        fc.double({ min: -4, max: 4, noNaN: true }),
        fc.double({ min: -90, max: 90, noNaN: true }),
        fc.double({ min: -180, max: 180, noNaN: true }),
        (day, offSunH, latitudeDeg, longitudeDeg) => {
          const dayStartMs = Math.round(solarMidnight(day, longitudeDeg) + offSunH * HOUR_MS);
          const times = sunTimes({ dayStartMs, latitudeDeg, longitudeDeg });
          expect(times.noonMs).toBeGreaterThanOrEqual(dayStartMs);
          expect(times.noonMs).toBeLessThan(dayStartMs + DAY_MS);
          if (times.sunriseMs === null || times.sunsetMs === null) {
            expect(times.sunriseMs).toBe(times.sunsetMs);
            expect(times.always).not.toBeNull();
            return;
          }
          expect(times.always).toBeNull();
          expect(times.sunriseMs).toBeLessThanOrEqual(times.noonMs);
          expect(times.noonMs).toBeLessThanOrEqual(times.sunsetMs);
          expect(times.sunsetMs - times.sunriseMs).toBeLessThanOrEqual(DAY_MS + 60_000);
        },
      ),
      { seed: 4, numRuns: 500 },
    );
  });

  it('belong to the local day on both sides of the date line and in zones far off the sun', () => {
    // Kiritimati, 157.4° W, keeps UTC+14: its 1 January 2026 begins at 10:00 UTC on 31 December.
    const kiritimatiMs = Date.UTC(2025, 11, 31, 10);
    const kiritimati = sunTimes({
      dayStartMs: kiritimatiMs,
      latitudeDeg: 1.87,
      longitudeDeg: -157.4,
    });
    expect((kiritimati.noonMs - kiritimatiMs) / HOUR_MS).toBeCloseTo(12.55, 1);
    // Pago Pago, 170.7° W, keeps UTC-11: the same date begins a day later.
    const pagoMs = Date.UTC(2026, 0, 1, 11);
    const pago = sunTimes({ dayStartMs: pagoMs, latitudeDeg: -14.3, longitudeDeg: -170.7 });
    expect((pago.noonMs - pagoMs) / HOUR_MS).toBeCloseTo(12.43, 1);
    // Kashgar, 76° E, on Beijing's clock: noon after 15:00.
    const kashgarMs = Date.UTC(2026, 1, 9, 16);
    const kashgar = sunTimes({ dayStartMs: kashgarMs, latitudeDeg: 39.5, longitudeDeg: 76 });
    expect((kashgar.noonMs - kashgarMs) / HOUR_MS).toBeCloseTo(15.17, 1);
  });

  it('are absent under the midnight sun and in the polar night', () => {
    const place = { latitudeDeg: 78.2, longitudeDeg: 15.6 };
    const june = sunTimes({ ...place, dayStartMs: Date.UTC(2026, 5, 20, 22) });
    expect(june).toMatchObject({ sunriseMs: null, sunsetMs: null, always: 'day' });
    const december = sunTimes({ ...place, dayStartMs: Date.UTC(2026, 11, 20, 23) });
    expect(december).toMatchObject({ sunriseMs: null, sunsetMs: null, always: 'night' });
  });

  it('refuse an impossible place', () => {
    expect(() => sunTimes({ dayStartMs: 0, latitudeDeg: 100, longitudeDeg: 0 })).toThrow(
      'sunTimes: latitudeDeg is out of range (got 100); give -90 to 90',
    );
  });
});
