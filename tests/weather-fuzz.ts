import { columnIndex, csvConfigSchema, readTable } from '../adapters/weather/csv-table.ts';
import { decode } from '../adapters/weather/file-text.ts';
import { hourGrid } from '../adapters/weather/hour-grid.ts';
import { httpJsonConfigSchema, jsonTables } from '../adapters/weather/http-json.ts';
import { columnUnit } from '../adapters/weather/measured-fields.ts';
import { mqttWeatherSchema, readMessage } from '../adapters/weather/mqtt-message.ts';
import {
  type WeatherContext,
  type WeatherReading,
  WeatherUnreadable,
} from '../adapters/weather/source.ts';
import { readStation, type StationTable } from '../adapters/weather/station-table.ts';
import { findColumns } from '../adapters/weather/station-values.ts';
import { telemetryHours } from '../adapters/weather/telemetry.ts';
import { stampedTable, stampReader } from '../adapters/weather/timed-rows.ts';
import { checkedHours } from '../calc/sky/weather-checks.ts';
import type { RawHour } from '../calc/sky/weather-hour.ts';
import { siteClock } from '../daemon/site/time/site-clock.ts';
import {
  csvText,
  FIELDS,
  FROM_MS,
  HOUR_MS,
  HOURS,
  IMPOSSIBLE,
  jsonText,
  message,
  NAMES,
  type Numbers,
  numbers,
  TO_MS,
  UNITS,
  wounded,
} from './weather-fuzz-input.ts';

/** How the cases ended. */
export interface FuzzTally {
  cases: number;
  /** Read without a word. */
  silent: number;
  /** Read with something told. */
  told: number;
  /** Refused as a whole, with what to do. */
  refused: number;
}

/** All of the day is past, so that an hour that is missing has to be told. */
const REQUEST = { fromMs: FROM_MS, toMs: TO_MS, nowMs: TO_MS + 3 * HOUR_MS };
const clock = siteClock('Etc/UTC');
const CONTEXT: WeatherContext = {
  clock,
  clockIn: siteClock,
  latitudeDeg: 40,
  longitudeDeg: 0,
  elevationM: 20,
  baseFolder: '/',
};

/** What an hour may hold, whatever came. */
const LIMITS: readonly (readonly [keyof RawHour, number, number])[] = [
  ['airTempC', -60, 57],
  ['dewPointC', -70, 36],
  ['relativeHumidityPct', 0, 100],
  ['windMPerS', 0, 60],
  ['solarMjPerM2', 0, 4.9],
  ['rainMm', 0, 205],
];

/**
 * Broken weather of every kind that comes from outside: text of a station's file, an address's
 * answer, a broker's message, each wounded at random or by an impossible value, and plain bytes.
 * Each is read or refused; no hour holds what cannot be; an hour or a value that is lost is told.
 *
 * @param count How many cases. @param seed The same seed gives the same cases.
 * @throws Error naming the case and its input when one of that does not hold.
 */
export async function fuzzWeather(count: number, seed: number): Promise<FuzzTally> {
  const tally: FuzzTally = { cases: count, silent: 0, told: 0, refused: 0 };
  for (let index = 0; index < count; index++) {
    const random = numbers(seed + index * 7919);
    const { name, run } = CASES[index % CASES.length] as FuzzCase;
    let input = '';
    try {
      const ending = await run(random, (shown) => {
        input = shown;
      });
      tally[ending] += 1;
    } catch (error) {
      const what = error instanceof Error ? (error.stack ?? error.message) : String(error);
      throw new Error(`case ${index} of seed ${seed}, ${name}: ${JSON.stringify(input)}: ${what}`);
    }
  }
  return tally;
}

type Ending = 'silent' | 'told' | 'refused';

interface FuzzCase {
  name: string;
  run(random: Numbers, show: (input: string) => void): Ending | Promise<Ending>;
}

const CASES: readonly FuzzCase[] = [
  {
    name: 'a wounded file',
    run: (random, show) => readCsv(wounded(csvText(), random), show),
  },
  {
    name: 'a file of bytes',
    run: (random, show) => {
      const bytes = Uint8Array.from({ length: random.below(400) }, () => random.below(256));
      return readCsv(decode(bytes), show);
    },
  },
  {
    name: 'a wounded answer',
    run: (random, show) => readJson(wounded(jsonText(), random), show, false),
  },
  {
    name: 'an answer with an impossible value',
    run: (random, show) => {
      const put = random.oneOf(IMPOSSIBLE);
      const at = { field: random.oneOf(FIELDS), hour: random.below(HOURS) };
      return readJson(jsonText({ ...at, put }), show, true);
    },
  },
  {
    name: 'a wounded message',
    run: (random, show) => readMqtt(Buffer.from(wounded(message(), random)), show, false),
  },
  {
    name: 'a message with an impossible value',
    run: (random, show) => {
      const put = random.oneOf(IMPOSSIBLE);
      return readMqtt(Buffer.from(message({ field: random.oneOf(FIELDS), put })), show, true);
    },
  },
  {
    name: 'a message of bytes',
    run: (random, show) => {
      const bytes = Uint8Array.from({ length: random.below(80) }, () => random.below(256));
      return readMqtt(bytes, show, true);
    },
  },
];

const CSV = csvConfigSchema.parse({
  source: 'csv',
  file: 'fuzz.csv',
  time: { form: 'iso', column: 'time' },
  stamps: 'hour_beginning',
  wind_height: '2 m',
  columns: Object.fromEntries(
    FIELDS.map((field) => [NAMES[field], { column: field, unit: UNITS[field] }]),
  ),
});

const JSON_CONFIG = httpJsonConfigSchema.parse({
  source: 'http_json',
  url: 'http://127.0.0.1:2/',
  time: { form: 'iso', at: '/h/time' },
  stamps: 'hour_beginning',
  wind_height: '2 m',
  tells: 'observed',
  fields: Object.fromEntries(
    FIELDS.map((field) => [NAMES[field], { at: `/h/${field}`, unit: UNITS[field] }]),
  ),
});

const [MESSAGE] = mqttWeatherSchema.parse({
  source: 'mqtt',
  url: 'mqtt://127.0.0.1:2',
  wind_height: '2 m',
  readings: [
    {
      topic: 'fuzz',
      time: { form: 'epoch_ms', at: '/ms' },
      fields: Object.fromEntries(
        FIELDS.map((field) => [NAMES[field], { at: `/${field}`, unit: UNITS[field] }]),
      ),
    },
  ],
}).readings;

const TABLE: Omit<StationTable, 'columns' | 'format'> = {
  name: 'fuzz',
  stamps: 'hour_beginning',
  windHeightM: 2,
  origin: 'by_time',
  writtenMs: FROM_MS,
};

function readCsv(text: string, show: (input: string) => void): Promise<Ending> {
  show(text);
  return judged(async () => {
    if (text.trim() === '') throw new WeatherUnreadable('fuzz: empty (got nothing); write it');
    const table = await readTable(text, 'fuzz.csv', { delimiter: null, headerLine: 1 });
    const columns = findColumns(table, CSV.columns);
    const reader = stampReader(CSV.time, (column) => columnIndex(table, column));
    const how = { ...TABLE, columns, format: CSV };
    return readStation(await stampedTable(table, reader), how, {
      request: REQUEST,
      zoneClock: clock,
      context: CONTEXT,
    });
  });
}

async function readJson(
  text: string,
  show: (input: string) => void,
  mustTell: boolean,
): Promise<Ending> {
  show(text);
  const ending = await judged(async () => {
    const [{ table, columns, reader }] = jsonTables(text, 'fuzz', JSON_CONFIG);
    const format = { decimal_mark: '.', missing: JSON_CONFIG.missing } as const;
    const how = { ...TABLE, columns, format };
    return readStation(await stampedTable(table, reader), how, {
      request: REQUEST,
      zoneClock: clock,
      context: CONTEXT,
    });
  });
  if (mustTell && ending === 'silent') throw new Error('an impossible value was taken in silence');
  return ending;
}

/** An hour that is lost has to be told; what is there has to be possible. */
async function judged(read: () => Promise<WeatherReading>): Promise<Ending> {
  let reading: WeatherReading;
  try {
    reading = await read();
  } catch (error) {
    if (!(error instanceof WeatherUnreadable)) throw error;
    if (!/\(got [\s\S]*\); /.test(error.message))
      throw new Error(`says too little: ${error.message}`);
    return 'refused';
  }
  const { hours, problems } = reading;
  checkHours(hours);
  if (hours.length < HOURS && problems.length === 0) throw new Error('an hour was lost in silence');
  for (const one of problems) {
    if (one.where === '' || one.what === '' || one.done === '') throw new Error('says too little');
  }
  const { hours: left } = checkedHours(hours);
  left.forEach((hour, index) => {
    for (const [field] of LIMITS) {
      const kept = hour[field] === null || hour[field] === hours[index]?.[field];
      if (!kept) throw new Error(`a check made ${field} up`);
    }
  });
  return problems.length === 0 ? 'silent' : 'told';
}

function checkHours(hours: readonly RawHour[]): void {
  hours.forEach((hour, index) => {
    const beforeMs = hours[index - 1]?.startMs ?? Number.NEGATIVE_INFINITY;
    const inside = hour.startMs >= FROM_MS && hour.startMs < TO_MS;
    const whole = (hour.startMs - FROM_MS) % HOUR_MS === 0 && hour.startMs > beforeMs;
    if (!inside || !whole) throw new Error(`an hour lies where none is (got ${hour.startMs})`);
    for (const [field, min, max] of LIMITS) {
      const value = hour[field];
      if (value === null) continue;
      const possible = typeof value === 'number' && value >= min && value <= max;
      if (!possible) throw new Error(`${field} cannot be (got ${value})`);
    }
  });
}

function readMqtt(payload: Uint8Array, show: (input: string) => void, mustTell: boolean): Ending {
  show(Buffer.from(payload).toString('latin1'));
  if (MESSAGE === undefined) throw new Error('the config has no reading');
  const given = { nowMs: REQUEST.nowMs, retained: false, clock };
  const { reading, faults } = readMessage(payload, MESSAGE, given);
  if (mustTell && faults.length === 0) throw new Error('an impossible value was taken in silence');
  if (reading === null) {
    // A message of nulls alone is a station with nothing to say.
    const silent = Buffer.from(payload).includes('null');
    if (faults.length === 0 && !silent) throw new Error('a message was lost in silence');
    return faults.length === 0 ? 'silent' : 'refused';
  }
  const units = new Map(
    FIELDS.flatMap((field) => {
      const unit = columnUnit(NAMES[field], UNITS[field]);
      return unit ? [[NAMES[field], unit] as const] : [];
    }),
  );
  const made = telemetryHours([reading], {
    where: 'fuzz',
    units,
    grid: hourGrid(FROM_MS, TO_MS),
    stamps: 'hour_beginning',
    windHeightM: 2,
    nowMs: REQUEST.nowMs,
  });
  checkHours(made.hours);
  return faults.length === 0 ? 'silent' : 'told';
}
