import { describe, expect, it } from 'vitest';
import { at, DAY, dayRows, HEADER, HOUR_MS, STATION, weatherFolder } from './weather-folder.ts';

const { read, source, write } = weatherFolder();

/** The day with one line changed; data of hour h stand on line h + 2. */
const withRow = (hour: number, row: string) => {
  const rows = dayRows();
  rows[hour] = row;
  return `${[HEADER, ...rows].join('\n')}\n`;
};
const whole = `${[HEADER, ...dayRows()].join('\n')}\n`;

describe('a station export', () => {
  it('gives every hour of a sound file and no problem', async () => {
    const { hours, problems, asOfMs, source: name } = await read(STATION, whole, DAY);
    expect(problems).toEqual([]);
    expect(hours).toHaveLength(24);
    expect(hours[13]).toEqual({
      startMs: at('2026-07-01T13:00:00-07:00'),
      origin: 'observed',
      airTempC: 23,
      dewPointC: null,
      relativeHumidityPct: 50,
      windMPerS: 2,
      windHeightM: 2,
      solarMjPerM2: expect.closeTo(0.36, 12),
      rainMm: 0.5,
    });
    expect(asOfMs).toBe(at('2026-07-01T23:00:00-07:00'));
    expect(name).toBe('station export weather.csv');
  });

  it('calls hours after now a forecast', async () => {
    const nowMs = at('2026-07-01T12:00:00-07:00');
    const { hours, asOfMs } = await read(STATION, whole, { ...DAY, nowMs });
    expect(hours.map(({ origin }) => origin)).toEqual([
      ...Array(12).fill('observed'),
      ...Array(12).fill('forecast'),
    ]);
    expect(asOfMs).toBe(nowMs);
  });

  it.each([
    [
      'humidity',
      '2026-07-01T05:00,15,140,2,100,0',
      'humidity cannot be (got 140 %)',
      'relativeHumidityPct',
    ],
    ['wind', '2026-07-01T05:00,15,50,90,100,0', 'wind cannot be (got 90 m/s)', 'windMPerS'],
    ['heat', '2026-07-01T05:00,75,50,2,100,0', 'air temperature cannot be (got 75 °C)', 'airTempC'],
    [
      'sun below zero',
      '2026-07-01T05:00,15,50,2,-60,0',
      'solar cannot be (got -0.216 MJ/m² in an hour)',
      'solarMjPerM2',
    ],
    [
      'sun above the air',
      '2026-07-01T05:00,15,50,2,1500,0',
      'solar cannot be (got 5.4 MJ/m² in an hour)',
      'solarMjPerM2',
    ],
    [
      'rain',
      '2026-07-01T05:00,15,50,2,100,500',
      'rain cannot be (got 500 mm in an hour)',
      'rainMm',
    ],
    ['words', '2026-07-01T05:00,warm,50,2,100,0', 'temp is no number (got warm)', 'airTempC'],
  ] as const)('leaves out one value: %s', async (_, row, what, field) => {
    const { hours, problems } = await read(STATION, withRow(5, row), DAY);
    const done = 'value left out';
    const refused = { where: 'weather.csv:7', what, done };
    const rule = field === 'airTempC' && what.includes('no number') ? {} : { rule: 'range' };
    expect(problems).toEqual([{ ...refused, ...rule }]);
    expect(hours).toHaveLength(24);
    expect(hours[5]?.[field]).toBeNull();
    const others = [
      'airTempC',
      'relativeHumidityPct',
      'windMPerS',
      'solarMjPerM2',
      'rainMm',
    ] as const;
    for (const other of others) if (other !== field) expect(hours[5]?.[other]).not.toBeNull();
  });

  it('cuts sensor noise back without a word', async () => {
    const { hours, problems } = await read(
      STATION,
      withRow(5, '2026-07-01T05:00,15,102.4,-0.1,-8,0'),
      DAY,
    );
    expect(problems).toEqual([]);
    expect(hours[5]).toMatchObject({ relativeHumidityPct: 100, windMPerS: 0, solarMjPerM2: 0 });
  });

  it('takes markers of missing values as silence', async () => {
    const row = '2026-07-01T05:00,,-999.0,NaN,na,-9999';
    const { hours, problems } = await read(STATION, withRow(5, row), DAY);
    expect(problems).toEqual([]);
    expect(hours[5]).toMatchObject({
      airTempC: null,
      relativeHumidityPct: null,
      windMPerS: null,
      solarMjPerM2: null,
      rainMm: null,
    });
  });

  it('names a gap from its beginning to its end', async () => {
    const rows = dayRows();
    rows.splice(8, 3);
    const { hours, problems } = await read(STATION, `${[HEADER, ...rows].join('\n')}\n`, DAY);
    expect(hours).toHaveLength(21);
    expect(problems).toEqual([
      {
        where: 'weather.csv',
        what: 'no row for 3 h (got nothing from 2026-07-01T08:00:00-07:00 to 2026-07-01T11:00:00-07:00)',
        done: 'left out',
      },
    ]);
  });

  it('names the silence of a station that stopped, and how old its newest row is', async () => {
    const rows = dayRows().slice(0, 10);
    const { problems, asOfMs } = await read(STATION, `${[HEADER, ...rows].join('\n')}\n`, DAY);
    expect(problems).toHaveLength(1);
    expect(problems[0]?.what).toContain('from 2026-07-01T10:00:00-07:00 to 2026-07-01T23:00:00');
    expect(asOfMs).toBe(at('2026-07-01T09:00:00-07:00'));
    const later = { fromMs: DAY.toMs + 48 * HOUR_MS, toMs: DAY.toMs + 50 * HOUR_MS };
    const old = await read(STATION, whole, { ...later, nowMs: later.fromMs });
    expect(old.hours).toEqual([]);
    expect(old.asOfMs).toBe(at('2026-07-01T23:00:00-07:00'));
  });

  it('keeps the later of a repeated hour', async () => {
    const rows = dayRows();
    rows.splice(6, 0, '2026-07-01T05:00,33,50,2,100,0.5');
    const { hours, problems } = await read(STATION, `${[HEADER, ...rows].join('\n')}\n`, DAY);
    expect(hours).toHaveLength(24);
    expect(hours[5]?.airTempC).toBe(33);
    expect(problems).toEqual([
      {
        where: 'weather.csv:7',
        what: 'the time comes again on line 8 (got 2026-07-01T05:00:00-07:00 twice)',
        done: 'left out, the later line kept',
        rule: 'duplicate_stamp',
      },
    ]);
  });

  it('sorts hours that are out of order, and takes a file with the newest on top as it is', async () => {
    const rows = dayRows();
    const moved = [...rows.slice(0, 4), ...rows.slice(10), ...rows.slice(4, 10)];
    const sorted = await read(STATION, `${[HEADER, ...moved].join('\n')}\n`, DAY);
    expect(sorted.hours.map(({ airTempC }) => airTempC)).toEqual(rows.map((_, hour) => 10 + hour));
    expect(sorted.problems).toEqual([
      {
        where: 'weather.csv:20',
        what: 'times run backwards (got 1 such steps, the first here)',
        done: 'sorted',
      },
    ]);
    const reversed = await read(STATION, `${[HEADER, ...rows.reverse()].join('\n')}\n`, DAY);
    expect(reversed.problems).toEqual([]);
    expect(reversed.hours).toEqual(sorted.hours);
  });

  it('leaves out the last line of a file that was cut', async () => {
    const cut = whole.slice(0, whole.lastIndexOf('2026-07-01T23:00') + 18);
    const { hours, problems } = await read(STATION, cut, DAY);
    expect(hours).toHaveLength(23);
    expect(problems).toEqual([
      {
        where: 'weather.csv:25',
        what: '2 of 6 columns are there (got 2026-07-01T23:00,3)',
        done: 'left out',
      },
    ]);
  });

  it('leaves out a last line without a line end until it is whole', async () => {
    const { hours, problems } = await read(STATION, whole.trimEnd(), DAY);
    expect(hours).toHaveLength(23);
    expect(problems).toEqual([
      {
        where: 'weather.csv:25',
        what: 'the last line has no line end (got 2026-07-01T23:00 33 50 2 100 0.5)',
        done: 'left out until it is whole',
      },
    ]);
    expect((await read(STATION, whole, DAY)).hours).toHaveLength(24);
  });

  it('leaves out a row whose time or quotes are broken, and no other', async () => {
    const bad = await read(STATION, withRow(5, '2026-07-32T05:00,15,50,2,100,0'), DAY);
    expect(bad.hours).toHaveLength(23);
    expect(bad.problems[0]).toEqual({
      where: 'weather.csv:7',
      what: 'the time cannot be read (got 2026-07-32T05:00)',
      done: 'left out',
    });
    const quote = await read(STATION, withRow(5, '2026-07-01T05:00,"15,50,2,100,0'), DAY);
    expect(quote.hours).toHaveLength(23);
    expect(quote.problems[0]?.what).toContain('a quote is not closed');
  });

  it('draws a long run of one fault together', async () => {
    const rows = dayRows().map((row) => row.replace(',50,', ',300,'));
    const { problems } = await read(STATION, `${[HEADER, ...rows].join('\n')}\n`, DAY);
    expect(problems).toHaveLength(6);
    expect(problems[5]).toMatchObject({ where: 'weather.csv:25' });
    expect(problems[5]?.what).toContain('and 18 before it of the same kind');
  });

  it.each([
    [
      'no columns by that name',
      'time,tmp,rh,wind,sun,rain\n1,2,3,4,5,6\n',
      /^weather\.csv: there is no column "temp" \(got time, tmp, rh, wind, sun, rain\); did you mean "tmp"\?/,
    ],
    ['an empty file', '', /^weather\.csv: the file is empty \(got 0 bytes\)/],
    ['a file of blank lines', '\n\n\n', /^weather\.csv: the file is empty/],
    ['names without rows', `${HEADER}\n`, /^weather\.csv: there are column names and no whole row/],
  ])('refuses %s in plain words', async (_, content, message) => {
    await expect(read(STATION, content, DAY)).rejects.toMatchObject({
      name: 'WeatherUnreadable',
      message: expect.stringMatching(message),
    });
  });

  it('says when there is no file, or a folder in its place', async () => {
    const missing = source({ ...STATION, file: 'gone.csv' });
    await expect(missing.read(DAY)).rejects.toThrow(
      'gone.csv: there is no such file (got ENOENT); check the path in the config',
    );
    await expect(source({ ...STATION, file: '.' }).read(DAY)).rejects.toThrow(
      '.: this is a folder (got EISDIR); name the file inside it',
    );
  });

  it('reads a file again once it has changed', async () => {
    await write('live.csv', `${[HEADER, ...dayRows().slice(0, 12)].join('\n')}\n`);
    const live = source({ ...STATION, file: 'live.csv' });
    const nowMs = at('2026-07-01T12:00:00-07:00');
    expect((await live.read({ ...DAY, nowMs })).hours).toHaveLength(12);
    await write('live.csv', whole);
    expect((await live.read({ ...DAY, nowMs })).hours).toHaveLength(24);
  });
});
