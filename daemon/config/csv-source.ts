import { parse } from 'csv-parse/sync';
import { nearestKey } from './nearest-key.ts';
import type { ConfigProblem, KeyPath, Place } from './problems.ts';

/** One row of a table file, as the map that the YAML would hold. */
export interface CsvEntry {
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

interface CsvRecord {
  record: string[];
  info: { lines: number };
  raw: string;
}

/** Reads a comma-separated table whose first line names the columns. Empty cells count as absent. */
export function readCsv(text: string, file: string, columns: ColumnKeys): CsvSource {
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
  const names = header.record.map((name) => name.trim().toLowerCase());
  problems.push(...headerProblems(names, header, file, columns));
  const entries = rows.map((row) => toEntry(row, names, file, columns, problems));
  return { entries, problems };
}

function parseRecords(text: string, file: string, problems: ConfigProblem[]): CsvRecord[] {
  try {
    return parse(text, {
      bom: true,
      comment: '#',
      comment_no_infix: true,
      info: true,
      raw: true,
      relax_column_count: true,
      skip_empty_lines: true,
      trim: true,
    }) as unknown as CsvRecord[];
  } catch (error) {
    const line = (error as { lines?: number }).lines ?? 1;
    const what = (error as Error).message.replace(/\s+/g, ' ');
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
  const starts = cellColumns(header.raw);
  return names.flatMap((name, index) => {
    const place = { file, line: header.info.lines, column: starts[index] ?? 1, path: name };
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
  const starts = cellColumns(row.raw);
  const line = row.info.lines;
  if (row.record.length > names.length) {
    problems.push({
      file,
      line,
      column: starts[names.length] ?? 1,
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
      if (index !== undefined) return { file, line, column: starts[index] ?? 1 };
    }
    return { file, line, column: 1 };
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

/** Column (from 1) at which each cell of a record begins, quotes taken into account. */
function cellColumns(rawRecord: string): number[] {
  // The raw text of a record begins with the comments and empty lines that were passed over.
  const text = rawRecord.replace(/^\uFEFF/, '').replace(/^(?:[ \t]*(?:#[^\n]*)?\r?\n)+/, '');
  const starts = [1];
  let quoted = false;
  for (let index = 0; index < text.length; index += 1) {
    if (text[index] === '"') quoted = !quoted;
    else if (text[index] === ',' && !quoted) starts.push(index + 2);
  }
  return starts;
}
