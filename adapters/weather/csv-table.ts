import { parse } from 'csv-parse/sync';
import { closest } from 'fastest-levenshtein';
import { z } from 'zod';
import { timeSlice } from '../event-loop.ts';
import { quantity } from '../quantity.ts';
import { standInOptions } from './daily-figures.ts';
import { columnUnit, type StationField, unitsOf } from './measured-fields.ts';
import { type ProblemList, problemList, type WeatherProblem, WeatherUnreadable } from './source.ts';
import { patternReader, zoneName } from './stamp-format.ts';

const columnName = z.string().min(1);
const pattern = z.string().refine((text) => patternReader(text) !== null, {
  error: (issue) =>
    `does not fix the date and the hour (got ${issue.input}); ` +
    'name each of YYYY, MM, DD and hh once, for example MM/DD/YYYY hh:mm',
});

/** A column and the unit that its numbers are in. */
function stationColumn(field: StationField) {
  return z.strictObject({
    column: columnName,
    unit: z.string().refine((unit) => columnUnit(field, unit) !== null, {
      error: (issue) =>
        `has a unit that does not fit here (got ${issue.input}); use one of ${unitsOf(field)}`,
    }),
  });
}

/** The columns that hold a row's time. */
const timeColumns = z.discriminatedUnion('form', [
  z.strictObject({ form: z.literal('iso'), column: columnName }),
  z.strictObject({ form: z.literal('pattern'), column: columnName, pattern }),
  z.strictObject({ form: z.literal('date_and_time'), date: columnName, time: columnName, pattern }),
  z.strictObject({
    form: z.literal('parts'),
    year: columnName,
    month: columnName,
    day: columnName,
    hour: columnName,
    minute: columnName.optional(),
  }),
]);

/** How any delimited file is read. */
export const tableOptions = {
  delimiter: z.enum([',', ';', '|', 'tab']).optional(),
  header_line: z.int().min(1).max(100).default(1),
  decimal_mark: z.enum(['.', ',']).default('.'),
  /** Texts that stand for "no value", beside the empty one. */
  missing: z.array(z.string()).default(['-999', '-9999', 'NaN', 'NA', 'null', '--']),
};

/** A station's export: one row for each hour, or for each 5, 10, 15, 20 or 30 minutes. */
export const csvConfigSchema = z.strictObject({
  source: z.literal('csv'),
  file: z.string().min(1),
  columns: z.strictObject({
    air_temp: stationColumn('air_temp'),
    dew_point: stationColumn('dew_point').optional(),
    /** Stands for the dew point where there is none. */
    vapour_pressure: stationColumn('vapour_pressure').optional(),
    relative_humidity: stationColumn('relative_humidity').optional(),
    wind: stationColumn('wind').optional(),
    solar: stationColumn('solar').optional(),
    rain: stationColumn('rain').optional(),
  }),
  time: timeColumns,
  /** Whether a stamp names the beginning or the end of its row's time. */
  stamps: z.enum(['hour_beginning', 'hour_ending']),
  /** Zone of the stamps; the site's when absent. */
  zone: zoneName.optional(),
  /** Height of the anemometer above the ground. */
  wind_height: quantity('length', { min: 0.5, max: 100 }),
  ...tableOptions,
  ...standInOptions,
});

export type CsvConfig = z.infer<typeof csvConfigSchema>;
export type TimeColumns = z.infer<typeof timeColumns>;

/** One line of data. */
export interface TableRow {
  /** Line in the file, from 1; of a file that is read in parts the byte at which the line begins. */
  line: number;
  cells: string[];
  /** True for a last line without a line end: its last cell may be cut short. */
  openEnded: boolean;
}

/** The column names of a delimited file, and what parts its values. */
export interface TableHead {
  /** The file as the config writes it, for error texts. */
  name: string;
  columns: string[];
  /** What `line` of a row counts; left out: lines. */
  counts?: 'lines' | 'bytes';
}

/** A delimited file: its column names, its whole rows, and the lines that were left out. */
export interface CsvTable extends TableHead {
  rows: TableRow[];
  problems: WeatherProblem[];
}

/** How the file is laid out. */
export interface TableLayout {
  /** The separating character; null: the one that the header line has most of. */
  delimiter: string | null;
  /** Line on which the column names stand, from 1. */
  headerLine: number;
}

const DELIMITERS = [',', ';', '\t', '|'];
/** Rows that are held at once: more than a station writes in four years of hours. */
const MOST_ROWS = 120_000;

/**
 * Reads delimited text in slices. Weather rows never span lines, so a quote left open spoils its
 * own line and not the ones below.
 * @throws WeatherUnreadable when there is no header line or no row.
 */
export async function readTable(
  text: string,
  name: string,
  layout: TableLayout,
): Promise<CsvTable> {
  const breath = timeSlice();
  const lines = text.split('\n');
  const { columns, delimiter } = readHead(lines[layout.headerLine - 1] ?? '', name, layout);
  const collected = rowCollector({ name, columns }, { delimiter, mostRows: MOST_ROWS });
  for (let index = layout.headerLine; index < lines.length; index++) {
    const openEnded = index === lines.length - 1;
    collected.take({ text: lines[index] ?? '', line: index + 1, openEnded });
    if (breath.due()) await breath.rest();
  }
  const { rows, problems } = collected;
  if (rows.length === 0) {
    throw new WeatherUnreadable(
      `${name}: there are column names and no whole row (got ${lines.length} lines); export it again`,
    );
  }
  return { name, columns, rows, problems: problems.all() };
}

/**
 * The column names of the header line.
 * @throws WeatherUnreadable when there are none.
 */
export function readHead(
  headerLine: string,
  name: string,
  layout: TableLayout,
): { columns: string[]; delimiter: string } {
  const header = headerLine.trim();
  if (header === '') {
    throw new WeatherUnreadable(
      `${name}:${layout.headerLine}: there are no column names (got an empty line); set header_line`,
    );
  }
  const delimiter = layout.delimiter ?? mostFrequent(header);
  const columns = hasOpenQuote(headerLine) ? null : cellsOf(headerLine, delimiter);
  if (columns === null) {
    throw new WeatherUnreadable(
      `${name}:${layout.headerLine}: the column names cannot be read (got ${short(header)}); correct the line`,
    );
  }
  return { columns, delimiter };
}

/** Lines of data as they come, made rows. */
export interface RowCollector {
  readonly rows: TableRow[];
  readonly problems: ProblemList;
  /** The row that was made of the line, or null where it was left out. */
  take(line: { text: string; line: number; openEnded: boolean }): TableRow | null;
}

/** What goes beyond `mostRows` is left out and counted. */
export function rowCollector(
  head: TableHead,
  { delimiter, mostRows }: { delimiter: string; mostRows: number },
): RowCollector {
  const rows: TableRow[] = [];
  const problems = problemList(head.name);
  const width = head.columns.length;
  const leaveOut = (line: number, what: string, got: string): null => {
    const where = placeOf(head, line);
    problems.add({ where, what: `${what} (got ${short(got)})`, done: 'left out' });
    return null;
  };
  return {
    rows,
    problems,
    take({ text, line, openEnded }) {
      if (text.trim() === '') return null;
      if (hasOpenQuote(text)) return leaveOut(line, 'a quote is not closed', text);
      const cells = cellsOf(text, delimiter);
      if (cells === null) return leaveOut(line, 'its values cannot be told apart', text);
      const wrong = wrongWidth(cells, width);
      if (wrong !== null) return leaveOut(line, wrong, cells.join(delimiter));
      if (rows.length >= mostRows) {
        return leaveOut(line, `there are more than ${mostRows} rows; write them less often`, text);
      }
      const row = { line, cells, openEnded };
      rows.push(row);
      return row;
    },
  };
}

/** Where a row stands, for a person: `weather.csv:12`, or the byte where lines are not counted. */
export function placeOf({ name, counts = 'lines' }: TableHead, line: number): string {
  return counts === 'lines' ? `${name}:${line}` : `${name}, byte ${line}`;
}

/**
 * Where a column stands: its name exactly, or without regard to case.
 * @throws WeatherUnreadable naming the columns that exist, the nearest first.
 */
export function columnIndex(table: TableHead, column: string): number {
  const exact = table.columns.indexOf(column);
  if (exact >= 0) return exact;
  const lower = table.columns.map((name) => name.toLowerCase());
  const loose = lower.indexOf(column.trim().toLowerCase());
  if (loose >= 0) return loose;
  const nearest = table.columns[lower.indexOf(closest(column.toLowerCase(), lower))];
  throw new WeatherUnreadable(
    `${table.name}: there is no column "${column}" (got ${table.columns.join(', ')}); ` +
      `did you mean "${nearest}"? Correct the column in the config`,
  );
}

/** The values of one line; null where they cannot be told apart. */
function cellsOf(line: string, delimiter: string): string[] | null {
  if (!line.includes('"')) return line.split(delimiter).map((cell) => cell.trim());
  return plainlyQuoted(line, delimiter) ?? parsed(line, delimiter);
}

/** Quoted values as machines write them; null where it takes more care. */
function plainlyQuoted(line: string, delimiter: string): string[] | null {
  const cells: string[] = [];
  let at = 0;
  for (;;) {
    while (line[at] === ' ') at++;
    if (line[at] === '"') {
      const end = line.indexOf('"', at + 1);
      let next = end + 1;
      while (line[next] === ' ') next++;
      if (end < 0 || (next < line.length && line[next] !== delimiter)) return null;
      cells.push(line.slice(at + 1, end).trim());
      at = next;
    } else {
      const end = line.indexOf(delimiter, at);
      const text = line.slice(at, end < 0 ? line.length : end);
      if (text.includes('"')) return null;
      cells.push(text.trim());
      at = end < 0 ? line.length : end;
    }
    if (at >= line.length) return cells;
    at++;
  }
}

function parsed(line: string, delimiter: string): string[] | null {
  const options = { delimiter, relax_column_count: true, relax_quotes: true, trim: true };
  try {
    const records = parse(line, options) as string[][];
    return records.length === 1 ? (records[0] ?? null) : null;
  } catch {
    return null;
  }
}

function wrongWidth(cells: string[], width: number): string | null {
  if (cells.length < width) return `${cells.length} of ${width} columns are there`;
  const extra = cells.slice(width).some((cell) => cell !== '');
  return extra ? `there are ${cells.length} values for ${width} columns` : null;
}

function hasOpenQuote(line: string): boolean {
  let quotes = 0;
  for (let at = line.indexOf('"'); at >= 0; at = line.indexOf('"', at + 1)) quotes++;
  return quotes % 2 === 1;
}

function mostFrequent(header: string): string {
  const count = (delimiter: string) => header.split(delimiter).length;
  return DELIMITERS.reduce((best, next) => (count(next) > count(best) ? next : best));
}

function short(text: string): string {
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}
