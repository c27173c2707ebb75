import { parse } from 'csv-parse/sync';
import { type ConfigProblem, type KeyPath, nearestKey, type Place } from './problems.ts';

/**
 * Columns of a table of stations. The rate is stated (`rate`) or worked out from the nozzle
 * columns; a catch-can test has too many numbers for a line and goes into the YAML.
 */
export const STATION_COLUMNS = {
  id: ['id'],
  bed: ['bed'],
  main: ['main'],
  lateral: ['lateral'],
  flow: ['flow'],
  rate: ['rate', 'stated'],
  nozzle_flow: ['rate', 'nozzle', 'flow'],
  head_spacing: ['rate', 'nozzle', 'head_spacing'],
  row_spacing: ['rate', 'nozzle', 'row_spacing'],
  triangular: ['rate', 'nozzle', 'triangular'],
  arc: ['rate', 'nozzle', 'arc'],
  rotation: ['rotation'],
  measured: ['measured'],
} as const;

/** Reads a table of stations, one a line. */
export function readStationTable(text: string, file: string): CsvSource {
  return readCsv(text, file, STATION_COLUMNS);
}

/** Columns of a table of beds; each stands for the key of the same name. */
export const BED_COLUMNS = {
  id: ['id'],
  name: ['name'],
  area: ['area'],
  seeded: ['seeded'],
  water_before_seeding: ['water_before_seeding'],
  stage: ['stage'],
  sand: ['sand'],
  embedding: ['embedding'],
  slope: ['slope'],
  exposure: ['exposure'],
  trim: ['trim'],
} as const;

/** Reads a table of beds, one a line. */
export function readBedTable(text: string, file: string): CsvSource {
  return readCsv(text, file, BED_COLUMNS);
}

/** One row of a table file, as the map that the YAML would hold. */
interface CsvEntry {
  raw: Record<string, unknown>;
  placeOf(path: KeyPath): Place;
}

/** A table file read: its rows, and what is wrong with its form. */
export interface CsvSource {
  entries: CsvEntry[];
  problems: ConfigProblem[];
}

/** How the columns of a table stand for keys: column name -> path inside one entry. */
export type ColumnKeys = Readonly<Record<string, KeyPath>>;

/** Rows of a table: more stations than any site has. */
const MOST_ROWS = 20_000;
/** Columns of a table; a dozen mean something. */
const MOST_COLUMNS = 200;

interface CsvRecord {
  record: string[];
  info: { lines: number };
  raw: string;
}

/** Reads a comma-separated table whose first line names the columns. Empty cells count as absent. */
function readCsv(text: string, file: string, columns: ColumnKeys): CsvSource {
  const problems: ConfigProblem[] = [];
  const records = parseRecords(text, file, problems);
  const [header, ...rows] = records;
  if (!header) {
    if (problems.length === 0) {
      const message = `is empty; write a line with the columns ${Object.keys(columns).join(', ')}`;
      problems.push({ file, line: 1, column: 1, path: '', message });
    }
    return { entries: [], problems };
  }
  const top = { file, line: header.info.lines, column: 1, path: '' };
  if (rows.length > MOST_ROWS) {
    const message = `has too many rows (got more than ${MOST_ROWS}); keep one a line for what the site has`;
    return { entries: [], problems: [{ ...top, message }] };
  }
  if (header.record.length > MOST_COLUMNS) {
    const message = `has too many columns (got ${header.record.length}); keep ${Object.keys(columns).join(', ')}`;
    return { entries: [], problems: [{ ...top, message }] };
  }
  const names = header.record.map((name) => name.trim().toLowerCase());
  const apart = /[;\t]/.exec(header.record.join(''))?.[0];
  if (names.length === 1 && apart !== undefined) {
    const got = apart === '\t' ? 'tabs' : apart;
    const message = `has no commas between its columns (got ${got}); write the table with commas`;
    problems.push({ file, line: header.info.lines, column: 1, path: '', message });
    return { entries: [], problems };
  }
  if (!names.some((name) => Object.hasOwn(columns, name))) {
    // A file that was named by mistake may hold secrets: nothing of it is shown.
    const message = `has no column that is known (got none in its first line); name the columns in the first line: ${Object.keys(columns).join(', ')}`;
    return { entries: [], problems: [{ ...top, message }] };
  }
  problems.push(...headerProblems(names, header, file, columns));
  const entries = rows.map((row) => toEntry(row, names, file, columns, problems));
  return { entries, problems };
}

function parseRecords(text: string, file: string, problems: ConfigProblem[]): CsvRecord[] {
  try {
    // The parser counts a CRLF within quotes as two lines.
    return parse(text.replace(/\r\n?/g, '\n'), {
      bom: true,
      comment: '#',
      comment_no_infix: true,
      info: true,
      raw: true,
      // One more than may be, and the header.
      to: MOST_ROWS + 2,
      relax_column_count: true,
      skip_empty_lines: true,
      trim: true,
    }) as unknown as CsvRecord[];
  } catch (error) {
    const { lines: line = 1, code = 'a fault' } = error as { lines?: number; code?: string };
    // The parser's own words show what stands in the cell.
    const what = code.replace(/^CSV_/, '').replaceAll('_', ' ').toLowerCase();
    const message = `is not a readable table (got ${what}); check quotes and commas`;
    problems.push({ file, line, column: 1, path: '', message });
    return [];
  }
}

function headerProblems(
  names: string[],
  header: CsvRecord,
  file: string,
  columns: ColumnKeys,
): ConfigProblem[] {
  const known = Object.keys(columns);
  const starts = cellStarts(header);
  return names.flatMap((name, index) => {
    // Spreadsheets put empty columns behind the last; only a cell under one is a mistake.
    if (name === '') return [];
    const place = { file, ...startAt(starts, index), path: name };
    if (names.indexOf(name) !== index) {
      return [{ ...place, message: 'is a column twice; keep one of the two' }];
    }
    if (known.includes(name)) return [];
    const meant = nearestKey(name, known);
    const advice = meant ? `did you mean ${meant}?` : `known columns: ${known.join(', ')}`;
    return [{ ...place, message: `is not a known column; ${advice}` }];
  });
}

function toEntry(
  row: CsvRecord,
  names: string[],
  file: string,
  columns: ColumnKeys,
  problems: ConfigProblem[],
): CsvEntry {
  const starts = cellStarts(row);
  const nameless = row.record.findIndex((cell, index) => names[index] === '' && cell !== '');
  if (nameless >= 0) {
    const message = 'stands under a column without a name; name the column in the first line';
    problems.push({ file, ...startAt(starts, nameless), path: '', message });
  }
  if (row.record.length > names.length) {
    problems.push({
      file,
      ...startAt(starts, names.length),
      path: '',
      message: `has more cells than there are columns (got ${row.record.length}); put quotes around cells with commas`,
    });
  }
  const raw: Record<string, unknown> = {};
  const columnOfPath = new Map<string, number>();
  for (const [index, name] of names.entries()) {
    const path = Object.hasOwn(columns, name) ? columns[name] : undefined;
    if (!path) continue;
    columnOfPath.set(path.join('.'), index);
    const cell = row.record[index] ?? '';
    if (cell !== '') put(raw, path, cell);
  }
  const placeOf = (path: KeyPath): Place => {
    for (let length = path.length; length > 0; length -= 1) {
      const index = columnOfPath.get(path.slice(0, length).join('.'));
      if (index !== undefined) return { file, ...startAt(starts, index) };
    }
    return { file, ...startAt(starts, 0) };
  };
  return { raw, placeOf };
}

/** Cells are text; what YAML would read as true or false is read so here too. */
function put(target: Record<string, unknown>, path: KeyPath, cell: string): void {
  const [first, ...rest] = path;
  if (first === undefined) return;
  if (rest.length === 0) {
    target[first] = cell === 'true' ? true : cell === 'false' ? false : cell;
    return;
  }
  const inner = (target[first] ?? {}) as Record<string, unknown>;
  target[first] = inner;
  put(inner, rest, cell);
}

interface CellStart {
  line: number;
  column: number;
}

/** Where each cell of a record begins, both from 1, quotes and line breaks in them considered. */
function cellStarts({ raw, info }: CsvRecord): CellStart[] {
  // The raw text of a record begins with the comments and empty lines that were passed over.
  const text = raw
    .replace(/^\uFEFF/, '')
    .replace(/^(?:[ \t]*(?:#[^\n]*)?\n)+/, '')
    .replace(/\n$/, '');
  // The parser tells the line on which a record ends.
  let line = info.lines - (text.match(/\n/g)?.length ?? 0);
  let lineStart = 0;
  const starts = [{ line, column: 1 }];
  let quoted = false;
  for (let index = 0; index < text.length; index += 1) {
    const letter = text[index];
    if (letter === '"') quoted = !quoted;
    else if (letter === '\n') {
      line += 1;
      lineStart = index + 1;
    } else if (letter === ',' && !quoted) starts.push({ line, column: index - lineStart + 2 });
  }
  return starts;
}

function startAt(starts: readonly CellStart[], index: number): CellStart {
  return starts[index] ?? starts[0] ?? { line: 1, column: 1 };
}
