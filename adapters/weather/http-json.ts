import { z } from 'zod';
import { quantity } from '../quantity.ts';
import type { CsvTable } from './csv-table.ts';
import { standInOptions } from './daily-figures.ts';
import { ensembleReading, memberNames, memberPointer, membersSchema } from './ensemble.ts';
import {
  askHttp,
  type HttpTags,
  type KeptAnswer,
  nextPollS,
  recallAnswer,
  rememberAnswer,
  rememberSame,
} from './http-fetch.ts';
import { atPointer, cellOf, jsonPointer, jsonStamp, jsonStampReader } from './json-values.ts';
import { columnUnit, type StationField, unitsOf } from './measured-fields.ts';
import {
  type WeatherContext,
  type WeatherProblem,
  type WeatherReading,
  type WeatherRequest,
  type WeatherSource,
  WeatherUnreadable,
} from './source.ts';
import { stampClock, zoneName } from './stamp-format.ts';
import { readStation } from './station-table.ts';
import type { ReadableColumn } from './station-values.ts';
import { type StampReader, stampedTable } from './timed-rows.ts';

/** A value inside a JSON text and the unit that it is in. */
function jsonField(field: StationField) {
  return z.strictObject({
    at: jsonPointer,
    unit: z.string().refine((unit) => columnUnit(field, unit) !== null, {
      error: (issue) =>
        `has a unit that does not fit here (got ${issue.input}); use one of ${unitsOf(field)}`,
    }),
  });
}

/** Hourly weather from an address that answers in JSON. */
export const httpJsonConfigSchema = z.strictObject({
  source: z.literal('http_json'),
  /** What the plan calls it; the address's host when left out. */
  name: z.string().min(1).max(60).optional(),
  url: z.string().refine(isPlainUrl, {
    // The text itself stays hidden: it may hold a password.
    error: 'is no address (got (hidden)); write http:// or https://, without user and password',
  }),
  poll: quantity('duration_s', { min: 60, max: 86_400 }).prefault('1 h'),
  timeout: quantity('duration_s', { min: 0.1, max: 120 }).prefault('10 s'),
  /** Longest answer that is read. */
  most_kb: z.int().min(1).max(16_384).default(2048),
  /** What its hours are; `by_time`: measured up to now and foretold from then on. */
  tells: z.enum(['forecast', 'observed', 'by_time']).default('forecast'),
  /** Where a list of objects stands, one an hour; left out: a list for the time and for each field. */
  rows: jsonPointer.optional(),
  time: jsonStamp,
  zone: zoneName.optional(),
  stamps: z.enum(['hour_beginning', 'hour_ending']),
  wind_height: quantity('length', { min: 0.5, max: 100 }),
  fields: z.strictObject({
    air_temp: jsonField('air_temp'),
    dew_point: jsonField('dew_point').optional(),
    vapour_pressure: jsonField('vapour_pressure').optional(),
    relative_humidity: jsonField('relative_humidity').optional(),
    wind: jsonField('wind').optional(),
    solar: jsonField('solar').optional(),
    rain: jsonField('rain').optional(),
  }),
  /** The members of an ensemble: `{member}` in `rows` and `fields` stands for each one's number. */
  members: membersSchema.optional(),
  /** Texts and numbers that stand for "no value", beside null. */
  missing: z.array(z.string()).default(['-999', '-9999']),
  ...standInOptions,
});

type HttpJsonConfig = z.infer<typeof httpJsonConfigSchema>;

function isPlainUrl(text: string): boolean {
  if (!URL.canParse(text)) return false;
  const { protocol, username, password, hostname } = new URL(text);
  const web = protocol === 'http:' || protocol === 'https:';
  return web && hostname !== '' && username === '' && password === '';
}

/** A command that asks on its way does not wait longer. */
const MOST_PATIENCE_S = 5;
const NO_TAGS: HttpTags = { etag: null, lastModified: null };

/** An answer that was read and found sound: a table, or one for each member of an ensemble. */
interface Held {
  tables: [JsonTable, ...JsonTable[]];
  tags: HttpTags;
  asOfMs: number;
}

/**
 * Hourly weather from an address, asked again and again once it is started. Reading never waits for
 * the network then: it answers from the last good answer, which outlives a restart, and says its
 * age. Unstarted, as in a command, it asks once if what it holds is older than the poll interval.
 */
export function httpJsonSource(config: HttpJsonConfig, context: WeatherContext): WeatherSource {
  const name = config.name ?? new URL(config.url).host;
  const zoneClock = stampClock(config.zone, context);
  const now = () => context.now?.() ?? Date.now();
  const key = `http_json ${config.url}`;
  const mostBytes = config.most_kb * 1024;
  const ending = new AbortController();
  let held: Held | null = null;
  let lastFault: string | null = null;
  let faults = 0;
  let started = false;
  let timer: NodeJS.Timeout | null = null;
  let asking: Promise<number | null> | null = null;

  const take = (answer: KeptAnswer): void => {
    const tables = jsonTables(answer.text, name, config);
    held = { tables, tags: answer.tags, asOfMs: answer.asOfMs };
  };
  // Not before it is needed: a command that stops water must not wait for, or fail on, the weather.
  let restored = false;
  const restore = (): void => {
    if (restored) return;
    restored = true;
    const kept = recallAnswer(context.memory, key, mostBytes);
    try {
      if (kept) take(kept);
    } catch (error) {
      // The pointers have changed since: it is asked for anew.
      if (!(error instanceof WeatherUnreadable)) throw error;
    }
  };

  const ask = async (timeoutS: number): Promise<number | null> => {
    const tags = held?.tags ?? NO_TAGS;
    const answer = await askHttp({
      url: config.url,
      timeoutS,
      mostBytes,
      tags,
      stop: ending.signal,
    });
    if (ending.signal.aborted) return null;
    const asOfMs = now();
    try {
      if (answer.kind === 'fault') throw new WeatherUnreadable(`${name}: ${answer.what}`);
      if (answer.kind === 'fresh') {
        take({ ...answer, asOfMs });
        rememberAnswer(context.memory, key, { ...answer, asOfMs });
      } else if (held !== null) {
        held = { ...held, asOfMs };
        rememberSame(context.memory, key, asOfMs);
      }
      if (lastFault !== null) context.log?.info({ weather: name }, 'answers again');
      lastFault = null;
      faults = 0;
    } catch (error) {
      const what = error instanceof Error ? error.message : String(error);
      // An address that is away for hours is one line in the log and not one each hour.
      if (what !== lastFault) context.log?.warn({ weather: name }, what);
      lastFault = what;
      faults += 1;
    }
    return answer.kind === 'fault' ? answer.retryAfterS : null;
  };
  const askOnce = (timeoutS: number): Promise<number | null> => {
    asking ??= ask(timeoutS).finally(() => {
      asking = null;
    });
    return asking;
  };
  const round = async (): Promise<void> => {
    const retryAfterS = await askOnce(config.timeout);
    if (ending.signal.aborted) return;
    const pauseS = nextPollS({ pollS: config.poll, faults, retryAfterS });
    timer = setTimeout(() => void round(), pauseS * 1000);
    timer.unref();
  };

  return {
    kind: 'http_json',
    start() {
      if (started || ending.signal.aborted) return;
      started = true;
      restore();
      void round();
    },
    async stop() {
      ending.abort();
      if (timer !== null) clearTimeout(timer);
      await asking;
    },
    async read(request) {
      // Whoever collects may have kept something newer since.
      if (context.keptOnly === true) restored = false;
      restore();
      const old = held === null || now() - held.asOfMs >= config.poll * 1000;
      if (!started && context.keptOnly !== true && old && !ending.signal.aborted) {
        await askOnce(Math.min(config.timeout, MOST_PATIENCE_S));
      }
      if (held === null) {
        const why = lastFault === null ? `${name}: no answer has come yet (got none)` : lastFault;
        throw new WeatherUnreadable(`${why}; it is asked again, and what stands in is told`);
      }
      return readHeld(held, request, { name, config, zoneClock, context, lastFault });
    },
  };
}

async function readHeld(
  held: Held,
  request: WeatherRequest,
  given: {
    name: string;
    config: HttpJsonConfig;
    zoneClock: ReturnType<typeof stampClock>;
    context: WeatherContext;
    lastFault: string | null;
  },
): Promise<WeatherReading> {
  const { name, config, zoneClock, context, lastFault } = given;
  const faults: WeatherProblem[] = [];
  if (lastFault !== null) {
    const what = lastFault.replace(`${name}: `, '');
    const done = `its answer of ${context.clock.isoOf(held.asOfMs)} stands`;
    faults.push({ where: name, what, done });
  }
  const readTable = async ({ table, columns, reader }: JsonTable) => {
    const problems = [...table.problems, ...faults];
    return readStation(
      await stampedTable({ ...table, problems }, reader),
      {
        name,
        columns,
        stamps: config.stamps,
        windHeightM: config.wind_height,
        format: { decimal_mark: '.', missing: config.missing },
        origin: config.tells,
        writtenMs: held.asOfMs,
      },
      { request, zoneClock, context },
    );
  };
  const [first, ...others] = held.tables;
  const reading = await readTable(first);
  const members: WeatherReading[] = [];
  for (const table of others) members.push(await readTable(table));
  const whole = members.length > 0 ? ensembleReading(reading, members) : reading;
  // A forecast is as young as its fetching; readings are as young as the youngest of them.
  return config.tells === 'observed' ? whole : { ...whole, asOfMs: held.asOfMs };
}

/** A JSON answer laid out as a table, so that it goes the way of a station's rows. */
interface JsonTable {
  table: CsvTable;
  columns: Map<StationField, ReadableColumn>;
  reader: StampReader;
}

interface Column {
  /** As the config points to it. */
  at: string;
  cells: readonly unknown[];
}

/**
 * Reads an answer after the config's pointers: one table, or one for each member of an ensemble.
 * @throws WeatherUnreadable when it is no JSON, or where no list stands where one should.
 */
export function jsonTables(
  text: string,
  name: string,
  config: HttpJsonConfig,
): [JsonTable, ...JsonTable[]] {
  const answer = parsed(text, name);
  const names = config.members === undefined ? [] : memberNames(config.members);
  const [first = config, ...others] = names.map((member) => ofMember(config, member));
  return [jsonTable(answer, name, first), ...others.map((one) => jsonTable(answer, name, one))];
}

/** The config with a member's number in its pointers. */
function ofMember(config: HttpJsonConfig, member: string): HttpJsonConfig {
  const { rows, fields } = config;
  const pointed = Object.fromEntries(
    Object.entries(fields).map(([field, stated]) => [
      field,
      stated === undefined ? stated : { ...stated, at: memberPointer(stated.at, member) },
    ]),
  ) as HttpJsonConfig['fields'];
  return {
    ...config,
    fields: pointed,
    ...(rows === undefined ? {} : { rows: memberPointer(rows, member) }),
  };
}

function jsonTable(answer: unknown, name: string, config: HttpJsonConfig): JsonTable {
  const fields = Object.entries(config.fields).flatMap(([field, stated]) =>
    stated === undefined ? [] : [{ field: field as StationField, ...stated }],
  );
  const pointers = [config.time.at, ...fields.map(({ at }) => at)];
  const { columns, problems } =
    config.rows === undefined
      ? fromLists(answer, pointers, name)
      : fromObjects(answer, pointers, { name, rows: config.rows });
  const [times, ...values] = columns;
  const length = times?.cells.length ?? 0;
  if (length === 0) {
    throw new WeatherUnreadable(`${name}: the answer tells no hour (got none); see rows and time`);
  }
  const rows = Array.from({ length }, (_, index) => ({
    line: index + 1,
    cells: [times, ...values].map((column) => cellOf(column?.cells[index])),
    openEnded: false,
  }));
  const read = jsonStampReader(config.time);
  return {
    table: { name, columns: pointers, rows, problems },
    columns: new Map(
      fields.flatMap(({ field, at, unit }, index) => {
        const known = columnUnit(field, unit);
        return known ? [[field, { column: at, index: index + 1, unit: known }] as const] : [];
      }),
    ),
    reader: { indexes: [0], read: (cells) => read(cells[0] ?? '') },
  };
}

function parsed(text: string, name: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    const got = text.trim().slice(0, 40).replace(/\s+/g, ' ');
    throw new WeatherUnreadable(`${name}: the answer is no JSON (got ${got}); look at its address`);
  }
}

type Columns = { columns: Column[]; problems: WeatherProblem[] };

/** Parallel lists: the time's length counts; what a field lacks is missing, what it has more is told. */
function fromLists(answer: unknown, pointers: readonly string[], name: string): Columns {
  const problems: WeatherProblem[] = [];
  const columns = pointers.map((at) => ({ at, cells: listAt(answer, at, name) }));
  const length = columns[0]?.cells.length ?? 0;
  for (const { at, cells } of columns) {
    if (cells.length === length) continue;
    const what = `${at} has not as many values as the time (got ${cells.length} for ${length})`;
    problems.push({ where: name, what, done: 'what is over or missing left out' });
  }
  return { columns, problems };
}

/** A list of objects: the pointers start from each of them. */
function fromObjects(
  answer: unknown,
  pointers: readonly string[],
  { name, rows }: { name: string; rows: string },
): Columns {
  const list = listAt(answer, rows, name);
  const columns = pointers.map((at) => ({ at, cells: list.map((row) => atPointer(row, at)) }));
  const silent = columns.filter(({ cells }) => cells.every((cell) => cell === undefined));
  const problems = silent.map(({ at }) => ({
    where: name,
    what: `${at} stands in no row (got ${list.length} rows)`,
    done: 'left out',
  }));
  return { columns, problems };
}

function listAt(answer: unknown, at: string, name: string): unknown[] {
  const found = atPointer(answer, at);
  if (Array.isArray(found)) return found as unknown[];
  const got = found === undefined ? 'nothing' : cellOf(found) || 'null';
  throw new WeatherUnreadable(
    `${name}: there is no list at ${at === '' ? 'the top' : at} (got ${got}); correct the pointer`,
  );
}
