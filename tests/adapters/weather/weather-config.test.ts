import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { weatherConfigSchema } from '../../../adapters/weather/combined.ts';
import { columnUnit } from '../../../adapters/weather/measured-fields.ts';
import { STATION } from './weather-folder.ts';

const station = { ...STATION, file: 'station.csv' };
const outlook = { source: 'outlook', wind_height: '10 m' };
const day = { day: '2026-07-01', high: '35 °C', low: '15 °C', wind: '3 m/s', rain: '0 mm' };

/** The problems as `path: message`. */
const problems = (config: object): string[] => {
  const result = weatherConfigSchema.safeParse(config);
  return result.success
    ? []
    : result.error.issues.map(({ path, message }) => `${path.join('.')}: ${message}`);
};

describe('weatherConfigSchema', () => {
  it('takes the three sources', () => {
    expect(problems(station)).toEqual([]);
    expect(problems({ source: 'epw', file: 'year.epw' })).toEqual([]);
    expect(problems({ ...outlook, days: [day] })).toEqual([]);
    expect(problems({ ...outlook, usual: [{ month: 7, ...day, day: undefined }] })).not.toEqual([]);
  });

  it.each([
    ['another source', { source: 'tea leaves' }, /^source: /],
    [
      'a strange unit',
      { ...station, columns: { air_temp: { column: 't', unit: 'K/s' } } },
      /^columns\.air_temp\.unit: has a unit that does not fit here \(got K\/s\); use one of °C, °F$/,
    ],
    ['no air temperature', { ...station, columns: {} }, /^columns\.air_temp: /],
    [
      'a zone that is none',
      { ...station, zone: 'Mars/Base' },
      /^zone: is no time zone \(got Mars\/Base\)/,
    ],
    ['an offset that is none', { ...station, zone: 'UTC+25' }, /^zone: is no time zone/],
    [
      'an open pattern',
      { ...station, time: { form: 'pattern', column: 't', pattern: 'MM/DD hh:mm' } },
      /^time\.pattern: does not fix the date and the hour \(got MM\/DD hh:mm\)/,
    ],
    [
      'a height without unit',
      { ...station, wind_height: 2 },
      /^wind_height: has no unit \(got 2\)/,
    ],
    ['an unknown key', { ...station, colour: 'red' }, /colour/],
    ['no day at all', outlook, /tells of no day/],
    [
      'a high below the low',
      { ...outlook, days: [{ ...day, high: '10 °C' }] },
      /^days\.0: has a high below its low/,
    ],
    [
      'a day that is none',
      { ...outlook, days: [{ ...day, day: '2026-02-30' }] },
      /^days\.0\.day: is no day \(got 2026-02-30\); write YYYY-MM-DD/,
    ],
    ['one day twice', { ...outlook, days: [day, day] }, /^days: tells of one day twice/],
    [
      'rain as a rate in a day',
      {
        ...outlook,
        daily_file: {
          file: 'd.csv',
          day: { column: 'd' },
          columns: {
            high: { column: 'h', unit: '°C' },
            low: { column: 'l', unit: '°C' },
            rain: { column: 'r', unit: 'mm/h' },
          },
        },
      },
      /^daily_file\.columns\.rain\.unit: has a unit that does not fit a day \(got mm\/h\)/,
    ],
  ])('refuses %s', (_, config, message) => {
    expect(problems(config).join('\n')).toMatch(message);
  });

  it('describes itself as JSON Schema', () => {
    const schema = z.toJSONSchema(weatherConfigSchema, { io: 'input' });
    const sources = (schema.oneOf ?? schema.anyOf ?? []).map(
      (one) => (one as { properties: { source: { const: string } } }).properties.source.const,
    );
    expect(sources.sort()).toEqual(['csv', 'epw', 'http_json', 'mqtt', 'outlook']);
  });
});

describe('columnUnit', () => {
  // Definitions: NIST SP 811 (2008), Appendix B; the langley by the international table calorie
  // (4.1868 J), as reference ET work has it.
  it.each([
    ['air_temp', '°F', 'mean', 212, 100],
    ['dew_point', '°C', 'mean', -3, -3],
    ['relative_humidity', '%', 'mean', 55, 55],
    ['wind', 'mph', 'mean', 10, 4.4704],
    ['wind', 'km/h', 'mean', 36, 10],
    ['wind', 'kn', 'mean', 1, 1852 / 3600],
    ['solar', 'W/m²', 'mean', 800, 800],
    ['solar', 'W/m^2', 'mean', 800, 800],
    ['solar', 'kW/m2', 'mean', 0.8, 800],
    ['solar', 'MJ/m2', 'sum', 2.5, 2.5],
    ['solar', 'Wh/m2', 'sum', 1000, 3.6],
    ['solar', 'J/cm2', 'sum', 100, 1],
    ['solar', 'kJ/m²', 'sum', 1000, 1],
    ['solar', 'ly', 'sum', 1, 0.041868],
    ['solar', 'langleys/hr', 'mean', 60, 697.8],
    ['rain', 'in', 'sum', 1, 25.4],
    ['rain', 'mm/h', 'mean', 3, 3],
    ['rain', 'in/h', 'mean', 1, 25.4],
  ] as const)('%s in %s', (field, spelling, kind, written, expected) => {
    const unit = columnUnit(field, spelling);
    expect(unit?.kind).toBe(kind);
    expect(unit?.convert(written)).toBeCloseTo(expected, 8);
  });

  it('knows no unit of another kind', () => {
    expect(columnUnit('wind', 'mm')).toBeNull();
    expect(columnUnit('rain', 'm/s')).toBeNull();
    expect(columnUnit('relative_humidity', 'K')).toBeNull();
  });
});
