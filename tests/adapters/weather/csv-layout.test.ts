import { describe, expect, it } from 'vitest';
import { asking, at, DAY, dayRows, HEADER, STATION, weatherFolder } from './weather-folder.ts';

const { read } = weatherFolder();

const whole = `${[HEADER, ...dayRows()].join('\n')}\n`;

describe('how a station export may be written', () => {
  it.each([
    ['a byte order mark and CRLF', Buffer.from(`\uFEFF${whole.replaceAll('\n', '\r\n')}`), {}],
    ['UTF-16', Buffer.from(`\uFEFF${whole}`, 'utf16le'), {}],
    ['semicolons', Buffer.from(whole.replaceAll(',', ';')), {}],
    [
      'semicolons and decimal commas',
      Buffer.from(whole.replaceAll(',', ';').replaceAll('.', ',')),
      { decimal_mark: ',' },
    ],
    ['tabs', Buffer.from(whole.replaceAll(',', '\t')), { delimiter: 'tab' }],
    ['quotes and blanks', Buffer.from(whole.replaceAll(/[^,\n]+/g, ' "$&" ')), {}],
    [
      'an empty column at the end',
      Buffer.from(whole.replaceAll('\n', ',\n').replace(',\n', '\n')),
      {},
    ],
    ['lines above the column names', Buffer.from(`Station 7\n\n${whole}`), { header_line: 3 }],
  ])('%s', async (_, content, options) => {
    const plain = await read(STATION, whole, DAY);
    const { hours, problems } = await read({ ...STATION, ...options }, content, DAY);
    expect(problems).toEqual([]);
    expect(hours).toEqual(plain.hours);
  });

  it.each([
    [
      'US text',
      { form: 'pattern', column: 'a', pattern: 'M/D/YYYY h:mm A' },
      'a',
      '7/1/2026 3:00 PM',
    ],
    [
      'day first, two-digit year',
      { form: 'pattern', column: 'a', pattern: 'DD.MM.YY hh:mm' },
      'a',
      '01.07.26 15:00',
    ],
    [
      'date and time',
      { form: 'date_and_time', date: 'a', time: 'b', pattern: 'YYYY-MM-DD hh:mm' },
      'a,b',
      '2026-07-01,15:00',
    ],
    ['an offset in the text', { form: 'iso', column: 'a' }, 'a', '2026-07-01T23:00:00+01:00'],
    ['UTC', { form: 'iso', column: 'a' }, 'a', '2026-07-01 22:00Z'],
    [
      'parts',
      { form: 'parts', year: 'a', month: 'b', day: 'c', hour: 'd' },
      'a,b,c,d',
      '2026,7,1,15',
    ],
    [
      'parts with a logger hour',
      { form: 'parts', year: 'a', month: 'b', day: 'c', hour: 'd' },
      'a,b,c,d',
      '2026,7,1,1500',
    ],
    [
      'parts with minutes',
      { form: 'parts', year: 'a', month: 'b', day: 'c', hour: 'd', minute: 'e' },
      'a,b,c,d,e',
      '2026,7,1,15,0',
    ],
  ])('time as %s', async (_, time, names, stamp) => {
    const columns = { air_temp: { column: 't', unit: '°F' } };
    const { hours } = await read({ ...STATION, time, columns }, `${names},t\n${stamp},50\n\n`, DAY);
    expect(hours).toHaveLength(1);
    expect(hours[0]).toMatchObject({ startMs: at('2026-07-01T15:00:00-07:00'), windMPerS: null });
    expect(hours[0]?.airTempC).toBeCloseTo(10, 9);
  });

  it('counts hour-ending stamps back, also over midnight as 0 or 24', async () => {
    const config = {
      ...STATION,
      stamps: 'hour_ending',
      columns: { air_temp: { column: 't', unit: '°C' } },
      time: { form: 'parts', year: 'y', month: 'm', day: 'd', hour: 'h' },
    };
    const text = 'y,m,d,h,t\n2026,6,30,24,1\n2026,7,1,1,2\n2026,7,1,23,3\n2026,7,2,0,4\n';
    const { hours } = await read(config, text, DAY);
    expect(hours.map(({ startMs, airTempC }) => [startMs, airTempC])).toEqual([
      [at('2026-07-01T00:00:00-07:00'), 2],
      [at('2026-07-01T22:00:00-07:00'), 3],
      [at('2026-07-01T23:00:00-07:00'), 4],
    ]);
  });

  it('takes every unit of the trade to SI', async () => {
    const columns = {
      air_temp: { column: 'a', unit: 'F' },
      vapour_pressure: { column: 'b', unit: 'hPa' },
      wind: { column: 'c', unit: 'kn' },
      solar: { column: 'd', unit: 'langley' },
      rain: { column: 'e', unit: 'in' },
    };
    const text = 'time,a,b,c,d,e\n2026-07-01T12:00,86,16.8,10,60,0.1\n\n';
    const { hours } = await read({ ...STATION, columns }, text, DAY);
    expect(hours[0]?.airTempC).toBeCloseTo(30, 9);
    // Allen et al. 1998, FAO-56, Example 20: 14.8 °C and 1.68 kPa; the last digit of the pressure
    // is worth 0.05 °C.
    expect(hours[0]?.dewPointC).toBeCloseTo(14.8, 1);
    expect(hours[0]?.windMPerS).toBeCloseTo(18520 / 3600, 9);
    expect(hours[0]?.solarMjPerM2).toBeCloseTo(60 * 0.041868, 9);
    expect(hours[0]?.rainMm).toBeCloseTo(2.54, 9);
  });

  it('drops a dew point that stands above the air', async () => {
    const columns = {
      air_temp: { column: 'a', unit: '°C' },
      dew_point: { column: 'b', unit: '°C' },
    };
    const text = 'time,a,b\n2026-07-01T12:00,20,20.5\n2026-07-01T13:00,20,24\n';
    const nowMs = at('2026-07-01T12:30:00-07:00');
    const { hours, problems } = await read({ ...STATION, columns }, text, { ...DAY, nowMs });
    expect(hours.map(({ dewPointC }) => dewPointC)).toEqual([20.5, null]);
    expect(problems.at(-2)?.what).toBe(
      'the dew point is above the air temperature (got 24.0 °C at 20.0 °C)',
    );
  });
});

describe('stamps over a clock change', () => {
  const columns = { air_temp: { column: 't', unit: '°C' } };
  const fallBack = asking('2026-11-01T00:00:00-07:00', '2026-11-01T04:00:00-08:00');

  it('tells the two hours of one name apart by their order', async () => {
    const stamps = ['00:00', '01:00', '01:00', '02:00', '03:00'];
    const text = stamps.map((stamp, index) => `2026-11-01T${stamp},${index}`).join('\n');
    const { hours, problems } = await read({ ...STATION, columns }, `time,t\n${text}\n`, fallBack);
    expect(problems).toEqual([]);
    expect(hours.map(({ startMs, airTempC }) => [startMs, airTempC])).toEqual([
      [at('2026-11-01T00:00:00-07:00'), 0],
      [at('2026-11-01T01:00:00-07:00'), 1],
      [at('2026-11-01T01:00:00-08:00'), 2],
      [at('2026-11-01T02:00:00-08:00'), 3],
      [at('2026-11-01T03:00:00-08:00'), 4],
    ]);
  });

  it('does so for quarter hours too, and for a file with the newest on top', async () => {
    const hoursOfClock = ['00', '01', '01', '02', '03'];
    const rows = hoursOfClock.flatMap((hour, index) =>
      ['00', '15', '30', '45'].map((minute) => `2026-11-01T${hour}:${minute},${index}`),
    );
    for (const ordered of [rows, rows.toReversed()]) {
      const text = `time,t\n${ordered.join('\n')}\n`;
      const { hours, problems } = await read({ ...STATION, columns }, text, fallBack);
      if (ordered === rows) expect(problems).toEqual([]);
      expect(hours.map(({ airTempC }) => airTempC)).toEqual([0, 1, 2, 3, 4]);
    }
  });

  it('keeps a station clock on standard time all year', async () => {
    const text = 'time,t\n2026-07-01T14:00,5\n2026-07-01T15:00,6\n\n';
    for (const zone of ['UTC-8', '-08:00', 'Etc/GMT+8']) {
      const { hours } = await read({ ...STATION, columns, zone }, text, DAY);
      expect(hours[0]).toMatchObject({ startMs: at('2026-07-01T15:00:00-07:00'), airTempC: 5 });
    }
  });
});

describe('rows finer than an hour', () => {
  const request = asking('2026-07-01T10:00:00-07:00', '2026-07-01T12:00:00-07:00');
  const rowsEvery = (stepMin: number) =>
    Array.from({ length: 120 / stepMin }, (_, index) => {
      const minutes = index * stepMin;
      const stamp = `${10 + Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, '0')}`;
      return `2026-07-01T${stamp},${20 + index},${40 + index},${index},600,0.2`;
    });

  it.each([5, 10, 15, 20, 30])(
    'every %i min: levels and fluxes as means, rain as a sum',
    async (stepMin) => {
      const rows = rowsEvery(stepMin);
      const { hours, problems } = await read(STATION, `${[HEADER, ...rows].join('\n')}\n`, request);
      const perHour = 60 / stepMin;
      expect(problems).toEqual([]);
      expect(hours).toHaveLength(2);
      const mean = (perHour - 1) / 2;
      expect(hours[0]?.airTempC).toBeCloseTo(20 + mean, 9);
      expect(hours[1]?.relativeHumidityPct).toBeCloseTo(40 + perHour + mean, 9);
      expect(hours[0]?.windMPerS).toBeCloseTo(mean, 9);
      expect(hours[0]?.solarMjPerM2).toBeCloseTo(2.16, 9);
      expect(hours[0]?.rainMm).toBeCloseTo(0.2 * perHour, 9);
    },
  );

  it('adds up the sun where the unit is an amount', async () => {
    const columns = { ...STATION.columns, solar: { column: 'sun', unit: 'MJ/m2' } };
    const rows = rowsEvery(15).map((row) => row.replace(',600,', ',0.5,'));
    const text = `${[HEADER, ...rows].join('\n')}\n`;
    const { hours } = await read({ ...STATION, columns }, text, request);
    expect(hours.map(({ solarMjPerM2 }) => solarMjPerM2)).toEqual([2, 2]);
  });

  it('sets row-ending stamps back by the row', async () => {
    const rows = [
      '10:15,1',
      '10:30,2',
      '10:45,3',
      '11:00,4',
      '11:15,5',
      '11:30,6',
      '11:45,7',
      '12:00,8',
    ];
    const text = `time,t\n${rows.map((row) => `2026-07-01T${row}`).join('\n')}\n`;
    const columns = { air_temp: { column: 't', unit: '°C' } };
    const config = { ...STATION, columns, stamps: 'hour_ending' };
    const { hours } = await read(config, text, request);
    expect(hours.map(({ airTempC }) => airTempC)).toEqual([2.5, 6.5]);
  });

  it('works with what is left of an hour, down to half of it', async () => {
    const rows = rowsEvery(15);
    const text = (kept: string[]) => `${[HEADER, ...kept].join('\n')}\n`;
    const three = await read(STATION, text(rows.filter((_, index) => index !== 2)), request);
    expect(three.problems).toEqual([
      {
        where: 'weather.csv:2',
        what: 'an hour has not all of its rows (got 3 of 4)',
        done: 'means taken over the rows there are',
      },
    ]);
    expect(three.hours[0]?.airTempC).toBeCloseTo((20 + 21 + 23) / 3, 9);
    expect(three.hours[0]?.rainMm).toBeCloseTo(0.6, 9);
    const one = await read(
      STATION,
      text(rows.filter((_, index) => index < 1 || index > 3)),
      request,
    );
    expect(one.hours[0]).toMatchObject({ airTempC: null, solarMjPerM2: null, rainMm: 0.2 });
  });

  it('waits for the hour that is under way', async () => {
    const text = `${[HEADER, ...rowsEvery(15).slice(0, 6)].join('\n')}\n`;
    const nowMs = at('2026-07-01T11:20:00-07:00');
    const { hours, problems } = await read(STATION, text, { ...request, nowMs });
    expect(hours).toHaveLength(1);
    expect(problems).toEqual([]);
  });
});
