import fc from 'fast-check';
import { expect, it } from 'vitest';
import { type WeatherReading, WeatherUnreadable } from '../../../adapters/weather/source.ts';
import type { RawHour } from '../../../calc/sky/weather-hour.ts';
import { EPW_HEADER, epwLine } from './typical-year.ts';
import { DAY, dayRows, HEADER, HOUR_MS, STATION, weatherFolder } from './weather-folder.ts';

const { read, source, write } = weatherFolder();

/** What an hour may hold, whatever stood in the file. */
const LIMITS: [keyof RawHour, number, number][] = [
  ['airTempC', -60, 57],
  ['dewPointC', -70, 36],
  ['relativeHumidityPct', 0, 100],
  ['windMPerS', 0, 60],
  ['solarMjPerM2', 0, 4.9],
  ['rainMm', 0, 205],
];

type Mutation = { at: number; cut: number; put: string };

const mutation: fc.Arbitrary<Mutation> = fc.record({
  at: fc.double({ min: 0, max: 1, noNaN: true }),
  cut: fc.nat(40),
  put: fc.oneof(
    fc.constant(''),
    fc.string({ maxLength: 12 }),
    fc.string({ unit: 'binary', maxLength: 4 }),
    fc.constantFrom(
      '"',
      ',',
      '\n',
      '\r',
      ';',
      '-',
      '1e308',
      '999999',
      'NaN',
      '\uFEFF',
      '\0',
      '24:00',
    ),
  ),
});

/** Up to six wounds, then perhaps a cut. */
const wounds = fc.record({
  mutations: fc.array(mutation, { maxLength: 6 }),
  keep: fc.oneof(fc.constant(1), fc.double({ min: 0, max: 1, noNaN: true })),
});

function wounded(text: string, { mutations, keep }: { mutations: Mutation[]; keep: number }) {
  let result = text;
  for (const { at, cut, put } of mutations) {
    const from = Math.floor(at * result.length);
    result = result.slice(0, from) + put + result.slice(from + cut);
  }
  return result.slice(0, Math.ceil(keep * result.length));
}

async function readsSafely(reading: () => Promise<WeatherReading>): Promise<number> {
  try {
    const { hours } = await reading();
    hours.forEach((hour, index) => {
      const before = hours[index - 1]?.startMs ?? Number.NEGATIVE_INFINITY;
      expect(hour.startMs).toBeGreaterThan(before);
      expect((hour.startMs - DAY.fromMs) % HOUR_MS).toBe(0);
      expect(hour.startMs).toBeGreaterThanOrEqual(DAY.fromMs);
      expect(hour.startMs).toBeLessThan(DAY.toMs);
      for (const [field, min, max] of LIMITS) {
        const value = hour[field];
        if (value === null) continue;
        expect(value).toBeGreaterThanOrEqual(min);
        expect(value).toBeLessThanOrEqual(max);
      }
    });
    return hours.length;
  } catch (error) {
    if (error instanceof WeatherUnreadable) return 0;
    throw error;
  }
}

const hourly = `${[HEADER, ...dayRows()].join('\n')}\n`;
const quarters = `${HEADER}\n${dayRows()
  .flatMap((row) => ['00', '15', '30', '45'].map((minute) => row.replace(':00,', `:${minute},`)))
  .join('\n')}\n`;
// The site's day begins in the last hour of 30 June, standard time.
const epwDay = [...EPW_HEADER, epwLine({ month: 6, day: 30, hour: 24 })];
for (let hour = 1; hour <= 24; hour++) epwDay.push(epwLine({ month: 7, day: 1, hour }));
const epw = `${epwDay.join('\n')}\n`;

it.each([
  ['an hourly export', STATION, hourly],
  ['an export every quarter hour', STATION, quarters],
  ['a typical year', { source: 'epw' }, epw],
])(
  'whatever happens to %s, it is read or refused, and no hour holds what cannot be',
  async (_, config, text) => {
    expect(await readsSafely(() => read(config, text, DAY))).toBe(24);
    let most = 0;
    await fc.assert(
      fc.asyncProperty(wounds, async (wound) => {
        most = Math.max(most, await readsSafely(() => read(config, wounded(text, wound), DAY)));
      }),
      { seed: 20260701, numRuns: 250 },
    );
    expect(most).toBeGreaterThan(20);
  },
);

it('whatever happens to a daily file, it is read or refused, and no hour holds what cannot be', async () => {
  const config = {
    source: 'outlook',
    wind_height: '10 m',
    daily_file: {
      file: 'daily.csv',
      day: { column: 'day' },
      columns: {
        high: { column: 'high', unit: '°F' },
        low: { column: 'low', unit: '°F' },
        wind: { column: 'wind', unit: 'mph' },
        rain: { column: 'rain', unit: 'in' },
      },
    },
  };
  const text = `day,high,low,wind,rain\n2026-06-30,90,55,6,0\n2026-07-01,95,59,8,0.1\n2026-07-02,99,61,12,0\n`;
  const readDaily = async (content: string) => {
    await write('daily.csv', content);
    return readsSafely(() => source(config).read(DAY));
  };
  expect(await readDaily(text)).toBe(24);
  await fc.assert(
    fc.asyncProperty(wounds, async (wound) => {
      expect([0, 24]).toContain(await readDaily(wounded(text, wound)));
    }),
    { seed: 20260704, numRuns: 250 },
  );
});

it('any bytes at all are read or refused', async () => {
  await fc.assert(
    fc.asyncProperty(fc.uint8Array({ maxLength: 300 }), async (bytes) => {
      await readsSafely(() => read(STATION, bytes, DAY));
      await readsSafely(() => read({ source: 'epw' }, bytes, DAY));
    }),
    { seed: 20260702, numRuns: 100 },
  );
});

it('any numbers in any row are judged', async () => {
  const number = fc.oneof(
    fc.double(),
    fc.integer(),
    fc.double({ min: -100, max: 200, noNaN: true }),
  );
  await fc.assert(
    fc.asyncProperty(
      fc.array(fc.array(number, { minLength: 5, maxLength: 5 }), { minLength: 1, maxLength: 24 }),
      async (values) => {
        const rows = values.map(
          (row, hour) => `2026-07-01T${String(hour).padStart(2, '0')}:00,${row.join(',')}`,
        );
        expect(await readsSafely(() => read(STATION, `${HEADER}\n${rows.join('\n')}\n`, DAY))).toBe(
          values.length,
        );
      },
    ),
    { seed: 20260703, numRuns: 150 },
  );
});
