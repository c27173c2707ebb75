import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { positionText, readPosition } from '../../../../daemon/actions/setup/position.ts';

describe('coordinates as they are typed or pasted', () => {
  it.each([
    '33.5, -42.1',
    '33.5,-42.1',
    '33.5 -42.1',
    '33,5; -42,1',
    '33,5 -42,1',
    '33.5N 42.1W',
    'N 33.5, W 42.1',
    '42.1 W, 33.5 N',
    '33°30\'00"N 42°06\'00"W',
    '33° 30′ 00″ N, 42° 06′ 00″ W',
    "33° 30.0' N 42° 6.0' W",
    '33 30 00 N 42 06 00 W',
    '33:30:00N 42:06:00W',
    '33°30\'0", -42°6\'0"',
    'Lat: 33.5 Lon: -42.1',
    'latitude 33.5, longitude -42.1',
    'geo:33.5,-42.1',
    '+33.5-42.1/',
    '33.5° −42.1°',
  ])('reads %s', (text) => {
    expect(readPosition(text)).toEqual({ ok: true, latitude: 33.5, longitude: -42.1 });
  });

  it.each([
    ['', 'is not two coordinates'],
    ['somewhere', 'is not two coordinates'],
    ['33.5', 'is not two coordinates'],
    ['33.5N', 'is not two coordinates'],
    ['1, 2, 3', 'is not two coordinates'],
    [
      '120.5, -42.1',
      'has a latitude beyond 90 degrees (got 120.5, -42.1); the latitude comes first',
    ],
    ['33.5, -190', 'has a longitude beyond 180 degrees'],
    ["33°75'N 42°06'W", 'has minutes or seconds of 60 or more'],
    ['-33.5S 42.1W', 'has a sign besides its letter'],
    ['33.5N 42.1N', 'names the same direction twice'],
    ["33.5°30'N 42°06'W", 'has a fraction before its last part'],
  ])('refuses %s', (text, message) => {
    const reading = readPosition(text);
    expect(reading).toMatchObject({ ok: false });
    expect(reading.ok ? '' : reading.message).toContain(message);
    expect(reading.ok ? '' : reading.message).toMatch(/\(got .*\); /s);
  });

  it('gives back what it wrote, in degrees and in minutes and seconds', () => {
    const millionths = (most: number) => fc.integer({ min: -most * 1e6, max: most * 1e6 });
    fc.assert(
      fc.property(millionths(90), millionths(180), (north, east) => {
        const [latitude, longitude] = [north / 1e6 + 0, east / 1e6 + 0];
        expect(readPosition(positionText(latitude, longitude))).toEqual({
          ok: true,
          latitude,
          longitude,
        });
        const sexagesimal = readPosition(`${dms(latitude, 'NS')} ${dms(longitude, 'EW')}`);
        expect(sexagesimal.ok).toBe(true);
        if (!sexagesimal.ok) return;
        // Written to a hundredth of a second: 1/360000 degree, half of it either way.
        expect(Math.abs(sexagesimal.latitude - latitude)).toBeLessThan(2e-6);
        expect(Math.abs(sexagesimal.longitude - longitude)).toBeLessThan(2e-6);
      }),
      { seed: 61, numRuns: 300 },
    );
  });
});

function dms(deg: number, letters: string): string {
  const hundredths = Math.round(Math.abs(deg) * 360_000);
  const [d, m, s] = [
    Math.floor(hundredths / 360_000),
    Math.floor((hundredths % 360_000) / 6000),
    (hundredths % 6000) / 100,
  ];
  return `${d}°${m}'${s.toFixed(2)}"${deg < 0 ? letters[1] : letters[0]}`;
}
