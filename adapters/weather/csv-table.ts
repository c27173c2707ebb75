import { parse } from 'csv-parse/sync';
import { closest } from 'fastest-levenshtein';
import { type WeatherProblem, WeatherUnreadable } from './source.ts';

/** One line of data. */
export interface TableRow {
  /** Line in the file, from 1. */
  line: number;
  cells: string[];
  /** True for a last line without a line end: its last cell may be cut short. */
  openEnded: boolean;
}

/** A delimited file: its column names, its whole rows, and the lines that were left out. */
export interface CsvTable {
  /** The file as the config writes it, for error texts. */
  name: string;
  columns: string[];
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

/**
 * Reads delimited text. Weather rows never span lines, so a quote left open spoils its own line
 * and not the ones below.
 * @throws WeatherUnreadable when there is no header line or no row.
 */
export function readTable(text: string, name: string, layout: TableLayout): CsvTable {
  const lines = text.split('\n');
  const header = lines[layout.headerLine - 1]?.trim() ?? '';
  if (header === '') {
    throw new WeatherUnreadable(
      `${name}:${layout.headerLine}: there are no column names (got an empty line); set header_line`,
    );
  }
  const delimiter = layout.delimiter ?? mostFrequent(header);
  const problems: WeatherProblem[] = [];
  lines.forEach((line, index) => {
    if (index < layout.headerLine - 1) lines[index] = '';
    else if (hasOpenQuote(line)) {
      lines[index] = '';
      problems.push(leftOut(name, index + 1, 'a quote is not closed', line));
    }
  });
  const [first, ...records] = split(lines.join('\n'), delimiter);
  if (!first || first.line !== layout.headerLine) {
    throw new WeatherUnreadable(
      `${name}:${layout.headerLine}: the column names cannot be read (got ${short(header)}); correct the line`,
    );
  }
  const columns = first.cells;
  const rows: TableRow[] = [];
  for (const { line, cells } of records) {
    const wrong = wrongWidth(cells, columns.length);
    if (wrong) problems.push(leftOut(name, line, wrong, cells.join(delimiter)));
    else rows.push({ line, cells, openEnded: line === lines.length });
  }
  if (rows.length === 0) {
    throw new WeatherUnreadable(
      `${name}: there are column names and no whole row (got ${lines.length} lines); export it again`,
    );
  }
  return { name, columns, rows, problems };
}

/**
 * Where a column stands: its name exactly, or without regard to case.
 * @throws WeatherUnreadable naming the columns that exist, the nearest first.
 */
export function columnIndex(table: CsvTable, column: string): number {
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

function split(text: string, delimiter: string): { line: number; cells: string[] }[] {
  const records: { line: number; cells: string[] }[] = [];
  parse(text, {
    delimiter,
    quote: text.includes('"') ? '"' : null,
    relax_column_count: true,
    relax_quotes: true,
    skip_empty_lines: true,
    skip_records_with_error: true,
    trim: true,
    on_record: (cells: string[], { lines }) => {
      records.push({ line: lines, cells });
      return null;
    },
  });
  return records;
}

function wrongWidth(cells: string[], width: number): string | null {
  if (cells.length < width) return `${cells.length} of ${width} columns are there`;
  const extra = cells.slice(width).some((cell) => cell !== '');
  return extra ? `there are ${cells.length} values for ${width} columns` : null;
}

function hasOpenQuote(line: string): boolean {
  return (line.split('"').length - 1) % 2 === 1;
}

function mostFrequent(header: string): string {
  const count = (delimiter: string) => header.split(delimiter).length;
  return DELIMITERS.reduce((best, next) => (count(next) > count(best) ? next : best));
}

function leftOut(name: string, line: number, what: string, got: string): WeatherProblem {
  return { where: `${name}:${line}`, what: `${what} (got ${short(got)})`, done: 'left out' };
}

function short(text: string): string {
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}
