import type { StationField } from './column-units.ts';
import { columnUnit } from './column-units.ts';
import type { CsvTable } from './csv-table.ts';
import type { HttpJsonConfig } from './http-json-config.ts';
import { atPointer, cellOf } from './json-pointer.ts';
import { jsonStampReader } from './json-stamp.ts';
import { type WeatherProblem, WeatherUnreadable } from './source.ts';
import type { StampReader } from './stamps.ts';
import type { ReadableColumn } from './station-rows.ts';

/** A JSON answer laid out as a table, so that it goes the way of a station's rows. */
export interface JsonTable {
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
 * Reads an answer after the config's pointers.
 * @throws WeatherUnreadable when it is no JSON, or where no list stands where one should.
 */
export function jsonTable(text: string, name: string, config: HttpJsonConfig): JsonTable {
  const answer = parsed(text, name);
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
