import { describe, expect, it } from 'vitest';
import { EPW_HEADER, epwLine, epwYear } from './typical-year.ts';
import { asking, at, clock, HOUR_MS, weatherFolder } from './weather-folder.ts';

const { read } = weatherFolder();
const EPW = { source: 'epw' };
const year = epwYear();
const july = asking(
  '2031-07-01T00:00:00-07:00',
  '2031-07-03T00:00:00-07:00',
  '2031-07-02T00:00:00-07:00',
);

describe('a typical year', () => {
  it('lies over the dates asked for, in its own standard time', async () => {
    const { hours, problems, source, asOfMs } = await read(EPW, year, july);
    expect(problems).toEqual([]);
    expect(hours).toHaveLength(48);
    // 13:00 of daylight time begins the 13th hour of the file's day, 12:00 to 13:00 standard time.
    expect(hours[13]).toEqual({
      startMs: at('2031-07-01T13:00:00-07:00'),
      origin: 'observed',
      airTempC: 7.13,
      dewPointC: -5,
      relativeHumidityPct: 50,
      windMPerS: 3,
      windHeightM: 10,
      solarMjPerM2: 1.8,
      rainMm: 0,
    });
    expect(hours[24]?.origin).toBe('forecast');
    expect(source).toBe('typical year, not a forecast: Invented-Town, CA (weather.csv)');
    expect(asOfMs).toBeNull();
  });

  it.each([
    ['a common year', '2027', 8760],
    ['a leap year', '2028', 8784],
  ])('has every hour of %s', async (_, name, count) => {
    const fromMs = at(`${name}-01-01T00:00:00-08:00`);
    const toMs = at(`${Number(name) + 1}-01-01T00:00:00-08:00`);
    const { hours, problems } = await read(EPW, year, { fromMs, toMs, nowMs: fromMs });
    expect(problems).toEqual([]);
    expect(hours.map(({ startMs }) => startMs)).toEqual(
      Array.from({ length: count }, (_, index) => fromMs + index * HOUR_MS),
    );
    for (const { startMs, airTempC } of hours) {
      const standard = new Date(startMs - 8 * HOUR_MS);
      const expected = standard.getUTCMonth() + 1 + (standard.getUTCHours() + 1) / 100;
      expect(airTempC).toBeCloseTo(expected, 9);
    }
  });

  it('takes a 29 February that it lacks from the 28th', async () => {
    const marked = epwYear((row) =>
      row.month === 2 && row.day === 28 ? { ...row, air: '28.0' } : row,
    );
    const leap = asking('2028-02-29T00:00:00-08:00', '2028-03-01T00:00:00-08:00');
    const { hours } = await read(EPW, marked, leap);
    expect(hours).toHaveLength(24);
    expect(hours.every(({ airTempC }) => airTempC === 28)).toBe(true);
  });

  it.each([
    ['spring', '2026-03-08', 23],
    ['autumn', '2026-11-01', 25],
  ])('has %s clock change days right', async (_, day, count) => {
    const fromMs = clock.startOf(day as never);
    const toMs = clock.startOf(clock.addDays(day as never, 1));
    const { hours } = await read(EPW, year, { fromMs, toMs, nowMs: fromMs });
    expect(hours).toHaveLength(count);
  });

  it("takes the format's codes for missing values as silence", async () => {
    const silent = epwYear((row) => ({
      ...row,
      air: '99.9',
      dew: '99.9',
      humidity: '999',
      solar: '9999',
      wind: '999.',
      rain: '999',
    }));
    const { hours, problems } = await read(EPW, silent, july);
    expect(problems).toEqual([]);
    expect(hours[0]).toMatchObject({
      airTempC: null,
      dewPointC: null,
      relativeHumidityPct: null,
      windMPerS: null,
      solarMjPerM2: null,
      rainMm: null,
    });
  });

  it('leaves out what cannot be, and all rain where one hour shows the wrong unit', async () => {
    const odd = epwYear((row) => {
      if (row.month === 7 && row.day === 1 && row.hour === 13)
        return { ...row, wind: '70', rain: '1' };
      if (row.month === 2 && row.day === 5) return { ...row, rain: row.hour === 22 ? '338' : '40' };
      return { ...row, rain: '1' };
    });
    const { hours, problems } = await read(EPW, odd, july);
    expect(hours[13]?.windMPerS).toBeNull();
    expect(hours.every(({ rainMm }) => rainMm === null)).toBe(true);
    expect(problems.map(({ what }) => what)).toEqual([
      'rain cannot be (got 338 mm in an hour)',
      'wind cannot be (got 70 m/s)',
      'the rain of this file is not in mm (got hours that cannot be, and 9656 mm in the year beside them)',
    ]);
  });

  it('names lines that are broken, twice there, or missing', async () => {
    const lines = [...EPW_HEADER];
    for (let hour = 1; hour <= 24; hour++) {
      lines.push(epwLine({ month: 7, day: 1, hour, air: hour === 3 ? 'mild' : '20' }));
      if (hour === 4) lines.push(epwLine({ month: 7, day: 1, hour, air: '25' }));
    }
    lines.push('2001,7,32,1,0,A7,20.0,10,50', epwLine({ month: 7, day: 32, hour: 1 }));
    const request = asking('2031-07-01T01:00:00-07:00', '2031-07-02T02:00:00-07:00');
    const { hours, problems } = await read(EPW, `${lines.join('\n')}\n`, request);
    expect(hours).toHaveLength(24);
    expect(hours[2]?.airTempC).toBeNull();
    expect(hours[3]?.airTempC).toBe(25);
    expect(problems).toEqual([
      { where: 'weather.csv:11', what: 'field 7 is no number (got mild)', done: 'value left out' },
      {
        where: 'weather.csv:12',
        what: 'the hour comes again on line 13 (got month 7, day 1, hour 4 twice)',
        done: 'left out, the later line kept',
      },
      {
        where: 'weather.csv:34',
        what: 'the line is not whole (got 9 of 35 fields)',
        done: 'left out',
      },
      {
        where: 'weather.csv:35',
        what: 'month, day and hour cannot be read (got 7, 32, 1)',
        done: 'left out',
      },
      {
        where: 'weather.csv',
        what: 'no row for 1 h (got nothing from 2031-07-02T01:00:00-07:00 to 2031-07-02T02:00:00-07:00)',
        done: 'left out',
      },
    ]);
  });

  it.each([
    [
      'another kind of file',
      'time,temp\n1,2\n',
      /^weather\.csv:1: this is no EPW file \(got time,temp\)/,
    ],
    ['a header alone', EPW_HEADER.join('\n'), /^weather\.csv: there is no whole hour in the file/],
    [
      'a header cut short',
      EPW_HEADER.slice(0, 3).join('\n'),
      /^weather\.csv:8: only files with one record an hour/,
    ],
    [
      'a place that is none',
      year.replace('40.0,-119.0', 'x,y'),
      /^weather\.csv:1: latitude, longitude and time zone cannot be read \(got x, y, -8.0\)/,
    ],
    [
      'quarter hours',
      year.replace('PERIODS,1,1', 'PERIODS,1,4'),
      /^weather\.csv:8: only files with one record an hour/,
    ],
  ])('refuses %s in plain words', async (_, content, message) => {
    await expect(read(EPW, content, july)).rejects.toMatchObject({
      name: 'WeatherUnreadable',
      message: expect.stringMatching(message),
    });
  });
});

describe('a typical year of another place', () => {
  const far = weatherFolder({ latitudeDeg: 40.5, longitudeDeg: -117.4 });
  it('is named', async () => {
    const { problems } = await far.read(EPW, year, july);
    expect(problems).toEqual([
      {
        where: 'weather.csv:1',
        what: 'the typical year is of a place 1.6° from the site (got Invented-Town, CA at 40, -119)',
        done: 'used as it is',
      },
    ]);
  });
});
