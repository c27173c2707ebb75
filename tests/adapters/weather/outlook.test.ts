import { describe, expect, it } from 'vitest';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { asking, at, DAY, weatherFolder } from './weather-folder.ts';

const { source, write } = weatherFolder();

const figures = { high: '95 °F', low: '59 °F', wind: '10 mph', rain: '0.1 in' };
const OUTLOOK = { source: 'outlook', wind_height: '10 m' };
const sum = (values: (number | null | undefined)[]) =>
  values.reduce<number>((total, value) => total + (value ?? Number.NaN), 0);

describe('a typed outlook', () => {
  const days = [{ day: '2026-07-01', ...figures, dew_point: '50 °F', solar: '28 MJ/m²' }];

  it("takes a person's own units into hours", async () => {
    const { hours, problems, asOfMs, source: name } = await source({ ...OUTLOOK, days }).read(DAY);
    expect(problems).toEqual([]);
    expect(hours).toHaveLength(24);
    expect(Math.max(...hours.map(({ airTempC }) => airTempC ?? 0))).toBeCloseTo(35, 9);
    expect(Math.min(...hours.map(({ airTempC }) => airTempC ?? 0))).toBeCloseTo(15, 9);
    expect(sum(hours.map(({ windMPerS }) => windMPerS)) / 24).toBeCloseTo(4.4704, 9);
    expect(sum(hours.map(({ rainMm }) => rainMm))).toBeCloseTo(2.54, 9);
    expect(sum(hours.map(({ solarMjPerM2 }) => solarMjPerM2))).toBeCloseTo(28, 9);
    expect(hours.every(({ dewPointC }) => Math.abs((dewPointC ?? 0) - 10) < 1e-9)).toBe(true);
    expect(asOfMs).toBeNull();
    expect(name).toBe('daily outlook typed in the config');
  });

  it('is foretold until its day is over', async () => {
    const typed = source({ ...OUTLOOK, days });
    const noon = await typed.read({ ...DAY, nowMs: at('2026-07-01T12:00:00-07:00') });
    expect(new Set(noon.hours.map(({ origin }) => origin))).toEqual(new Set(['forecast']));
    const after = await typed.read({ ...DAY, nowMs: DAY.toMs });
    expect(new Set(after.hours.map(({ origin }) => origin))).toEqual(new Set(['observed']));
  });

  it('falls back on the usual day of the month, and is silent without one', async () => {
    const usual = [{ month: 7, ...figures, high: '86 °F' }];
    const request = asking('2026-06-30T00:00:00-07:00', '2026-07-03T00:00:00-07:00');
    const { hours } = await source({ ...OUTLOOK, days, usual }).read(request);
    expect(hours).toHaveLength(48);
    expect(hours[0]?.startMs).toBe(at('2026-07-01T00:00:00-07:00'));
    expect(hours.slice(24).every(({ origin }) => origin === 'usual')).toBe(true);
    expect(Math.max(...hours.slice(24).map(({ airTempC }) => airTempC ?? 0))).toBeCloseTo(30, 9);
  });

  it('hands on the chance of rain where one is told, and refuses one that is none', async () => {
    const told = (rain_chance?: string) =>
      source({
        ...OUTLOOK,
        days: [{ day: '2026-07-01', ...figures, ...(rain_chance ? { rain_chance } : {}) }],
      });
    const chances = async (chance?: string) =>
      new Set((await told(chance).read(DAY)).hours.map((hour) => hour.rainChanceFraction));
    expect(await chances('40 %')).toEqual(new Set([0.4]));
    expect(await chances()).toEqual(new Set([undefined]));
    expect(() => told('140 %')).toThrow(/rain_chance/);
  });

  it('works cloud into the radiation', async () => {
    const cloudy = (cloud: string) => [{ day: '2026-07-01', ...figures, cloud }];
    const clear = await source({ ...OUTLOOK, days: cloudy('0 %') }).read(DAY);
    const dull = await source({ ...OUTLOOK, days: cloudy('100 %') }).read(DAY);
    const total = (hours: typeof clear.hours) => sum(hours.map(({ solarMjPerM2 }) => solarMjPerM2));
    // Allen et al. 1998, FAO-56, Eq. 35: 0.75 of the sky's radiation under sun, 0.25 without.
    expect(total(dull.hours) / total(clear.hours)).toBeCloseTo(1 / 3, 9);
  });

  it('keeps the day when only its radiation cannot be', async () => {
    const winter = [{ day: '2026-01-10', ...figures, solar: '30 MJ/m²' }];
    const request = asking('2026-01-10T00:00:00-08:00', '2026-01-11T00:00:00-08:00');
    const { hours, problems } = await source({ ...OUTLOOK, days: winter }).read(request);
    expect(hours).toHaveLength(24);
    expect(hours[12]?.solarMjPerM2).toBeNull();
    expect(problems).toHaveLength(1);
    expect(problems[0]).toMatchObject({
      where: 'outlook 2026-01-10',
      done: 'its solar radiation left out',
    });
  });

  it('gives only the hours asked for', async () => {
    const request = asking('2026-07-01T06:00:00-07:00', '2026-07-01T09:00:00-07:00');
    const { hours } = await source({ ...OUTLOOK, days }).read(request);
    expect(hours.map(({ startMs }) => startMs)).toEqual(
      [6, 7, 8].map((hour) => at(`2026-07-01T0${hour}:00:00-07:00`)),
    );
  });
});

describe('a daily file', () => {
  const daily = {
    file: 'weather.csv',
    day: { column: 'day', pattern: 'M/D/YYYY' },
    columns: {
      high: { column: 'high', unit: '°F' },
      low: { column: 'low', unit: '°F' },
      wind: { column: 'wind', unit: 'mph' },
      rain: { column: 'rain', unit: 'in' },
      solar: { column: 'sun', unit: 'W/m2' },
    },
  };
  const request = asking('2026-07-01T00:00:00-07:00', '2026-07-04T00:00:00-07:00');
  const readDaily = async (lines: string[], more = {}) => {
    await write('weather.csv', ['day,high,low,wind,rain,sun', ...lines].join('\n'));
    return source({ ...OUTLOOK, daily_file: daily, ...more }).read(request);
  };

  it('is outweighed by a typed day, and leaves open what a row does not tell', async () => {
    const { hours, problems } = await readDaily(
      ['7/1/2026,95,59,10,0.1,300', '7/2/2026,86,59,,,', '7/3/2026,95,59,10,0.1,300'],
      { days: [{ day: '2026-07-03', ...figures, high: '104 °F' }] },
    );
    expect(problems).toEqual([]);
    expect(hours).toHaveLength(72);
    expect(sum(hours.slice(0, 24).map(({ solarMjPerM2 }) => solarMjPerM2))).toBeCloseTo(25.92, 9);
    expect(hours[30]).toMatchObject({ windMPerS: null, rainMm: null, solarMjPerM2: null });
    expect(Math.max(...hours.slice(48).map(({ airTempC }) => airTempC ?? 0))).toBeCloseTo(40, 9);
  });

  it('names each row that cannot be', async () => {
    const { hours, problems } = await readDaily([
      '7/1/2026,59,95,10,0,300',
      '7/2/2026,95,59,10,-1,300',
      'soon,95,59,10,0,300',
      '7/2/2026,86,59,10,0,9000',
      '7/3/2026,195,59,10,0,300',
    ]);
    expect(hours).toHaveLength(24);
    expect(Math.max(...hours.map(({ airTempC }) => airTempC ?? 0))).toBeCloseTo(30, 9);
    expect(problems.map(({ where, what }) => `${where} ${what}`)).toEqual([
      'weather.csv:2 the day has no high above its low (got 15.0 °C and 35.0 °C)',
      'weather.csv:3 rain cannot be (got -25.4 mm in a day)',
      'weather.csv:4 the day cannot be read (got soon)',
      'weather.csv:3 the day comes again on line 5 (got 2026-07-02 twice)',
      'weather.csv:5 solar cannot be (got 777.6 MJ/m² in a day)',
      'weather.csv:6 air temperature cannot be (got 90.56 °C)',
      'weather.csv:6 the day has no high above its low (got none and 15.0 °C)',
    ]);
  });
});

describe('a site half an hour beside UTC', () => {
  const india = weatherFolder({ clock: siteClock('Asia/Kolkata'), longitudeDeg: 77 });
  const days = [{ day: '2026-07-01', ...figures }];

  it('has the full hours of its own clock', async () => {
    const request = asking('2026-07-01T00:00:00+05:30', '2026-07-02T00:00:00+05:30');
    const { hours } = await india.source({ ...OUTLOOK, days }).read(request);
    expect(hours).toHaveLength(24);
    expect(hours[0]?.startMs).toBe(at('2026-07-01T00:00:00+05:30'));
  });

  it('follows an asker who counts from the full hours of UTC', async () => {
    const request = asking('2026-06-30T18:00:00Z', '2026-07-01T18:00:00Z');
    const { hours } = await india.source({ ...OUTLOOK, days }).read(request);
    expect(hours).toHaveLength(24);
    expect(hours[0]?.startMs).toBe(at('2026-06-30T18:00:00Z'));
  });
});
