import { parse } from 'csv-parse/sync';
import type { DisplayUnits } from '../../../adapters/display-units.ts';
import { parseSiteDay } from '../../site/time/site-clock.ts';
import { type Heading, headingsOf, type TableColumn } from './table-columns.ts';
import { hasDecimalComma, typedNumber } from './typed-values.ts';

/** A pasted table by its columns, with all that was taken to be so, and all that is wrong. */
export interface PastedTable {
  rows: Record<string, string>[];
  /** The heading, as typed, over each column that a heading row names: an empty cell there is meant so. */
  named: Readonly<Record<string, string>>;
  /** How columns and bare numbers were read, and what was left out: nothing is guessed unsaid. */
  told: string[];
  problems: string[];
}

/** Reads a pasted table of beds or stations. */
export function pastedTable(
  text: string,
  given: { columns: readonly TableColumn[]; order: readonly string[]; units: DisplayUnits },
): PastedTable {
  const { columns, order, units } = given;
  const cells = pastedCells(text);
  if (!cells.ok) return { rows: [], named: {}, told: [], problems: [cells.message] };
  const [first = []] = cells.rows;
  const found = headingsOf(first, columns);
  const headings = found ?? inOrder(order, columns);
  const body = found === null ? cells.rows : cells.rows.slice(1);
  const told = [`Cells parted by ${cells.separator}.`, ...columnLines(headings, found !== null)];
  const problems = twiceNamed(headings);
  const commaIsDecimal = cells.rows.flat().some(hasDecimalComma);
  // Semicolons come from a spreadsheet whose comma is the decimal mark.
  const commaPartsThousands = units === 'us' && cells.separator !== 'semicolons' && !commaIsDecimal;
  let thousands: string | null = null;
  const bare = new Map<string, string>();
  const rows = body.map((row, index) => {
    const where = `row ${index + 1}`;
    const beyond = row.slice(headings.length).some((cell) => cell !== '');
    if (beyond) {
      problems.push(
        `${where}: has more cells than there are columns (got ${row.length}); put quotes around cells with ${cells.separator}, or write a heading row`,
      );
    }
    const values: Record<string, string> = {};
    for (const [at, { column, unit, text: heading }] of headings.entries()) {
      const cell = row[at] ?? '';
      if (column === null || cell === '') continue;
      if (column.kind === undefined) {
        values[column.key] = cell;
        continue;
      }
      const number = typedNumber(cell, { commaIsDecimal, commaPartsThousands });
      if (number.ok && commaPartsThousands && /^[1-9]\d{0,2},\d{3}(?!\d)/.test(cell)) {
        thousands ??= `Commas in numbers part thousands: ${cell} is ${number.text}.`;
      }
      if (!number.ok) problems.push(`${where}, ${heading}: ${number.message}`);
      values[column.key] = number.ok ? withUnit(number.text, column, unit) : cell;
    }
    return values;
  });
  for (const { column } of headings) {
    if (column?.isDay !== true) continue;
    const read = tableDays(
      rows.map((row) => row[column.key] ?? ''),
      units === 'us',
    );
    for (const [index, row] of rows.entries()) {
      const day = read.days[index];
      if (day !== undefined && day !== '') row[column.key] = day;
    }
    if (read.told !== null) told.push(read.told);
    problems.push(...read.problems);
  }
  if (thousands !== null) told.push(thousands);
  for (const [heading, unit] of bare) {
    told.push(`${heading}: its numbers have no unit; taken as ${unit}, since units are ${units}.`);
  }
  if (body.length === 0) problems.push('table: has a heading and no rows; paste the rows too');
  const named = Object.fromEntries(
    (found ?? []).flatMap(({ column, text }) => (column === null ? [] : [[column.key, text]])),
  );
  return { rows, named, told, problems };

  function withUnit(number: string, column: TableColumn, unit: string | null): string {
    if (!/^[+-]?[\d.]+$/.test(number)) return number;
    const assumed = column.unit?.[units];
    if (unit === null && assumed !== undefined) bare.set(column.key, assumed);
    const used = unit ?? assumed;
    return used === undefined ? number : `${number} ${used}`;
  }
}

function inOrder(order: readonly string[], columns: readonly TableColumn[]): Heading[] {
  return order.map((key) => {
    const column = columns.find((one) => one.key === key) ?? null;
    return { text: key, column, unit: null };
  });
}

function columnLines(headings: readonly Heading[], isNamed: boolean): string[] {
  if (!isNamed) {
    return [`No heading row; taken in this order: ${headings.map(({ text }) => text).join(', ')}.`];
  }
  const known = headings.flatMap(({ text, column }) =>
    column === null ? [] : [`${text} as ${column.key}`],
  );
  const unknown = headings.filter(({ text, column }) => column === null && text !== '');
  return [
    `Columns: ${known.join(', ')}.`,
    ...unknown.map(({ text }) => `Column ${text}: not known here, left out.`),
  ];
}

function twiceNamed(headings: readonly Heading[]): string[] {
  const keys = headings.flatMap(({ column }) => (column === null ? [] : [column.key]));
  const twice = [...new Set(keys.filter((key, index) => keys.indexOf(key) !== index))];
  return twice.map((key) => {
    const names = headings.filter(({ column }) => column?.key === key).map(({ text }) => text);
    return `table: has two columns for ${key} (got ${names.join(', ')}); keep one of them`;
  });
}

/** A pasted table cut into cells, or why it could not be. */
type PastedCells =
  | { ok: true; rows: string[][]; separator: 'tabs' | 'semicolons' | 'commas' }
  | { ok: false; message: string };

/** More than any table that a person pastes. */
const MOST_ROWS = 2_000;
const MOST_CELLS_OF_A_ROW = 100;
const MOST_LETTERS_OF_A_CELL = 200;

const MARKS = { tabs: '\t', semicolons: ';', commas: ',' } as const;

/** Cuts text from a spreadsheet or from a person's keyboard; empty lines do not count. */
export function pastedCells(text: string): PastedCells {
  const plain = text.replace(/^\uFEFF/, '').replace(/\r\n?/g, '\n');
  const separator = plain.includes('\t') ? 'tabs' : plain.includes(';') ? 'semicolons' : 'commas';
  try {
    const rows = parse(plain, {
      delimiter: MARKS[separator],
      // Tables of tabs come with inch marks in their cells: there a quote is a quote.
      quote: separator === 'tabs' && !/(^|\t)"[^\n]*"(\t|\n|$)/.test(plain) ? null : '"',
      relax_column_count: true,
      relax_quotes: true,
      skip_empty_lines: true,
      trim: true,
      to: MOST_ROWS + 1,
    }) as string[][];
    const over = tooLarge(rows);
    if (over !== null) return { ok: false, message: `table: ${over}` };
    const filled = rows.filter((row) => row.some((cell) => cell !== ''));
    if (filled.length === 0) return { ok: false, message: 'table: is empty; paste its rows' };
    return { ok: true, separator, rows: filled.map((row) => row.map((cell) => cell.trim())) };
  } catch (error) {
    const { code = 'a fault' } = error as { code?: string };
    const what = code.replace(/^CSV_/, '').replaceAll('_', ' ').toLowerCase();
    return {
      ok: false,
      message: `table: cannot be cut into cells (got ${what}); check its quotes`,
    };
  }
}

function tooLarge(rows: readonly string[][]): string | null {
  if (rows.length > MOST_ROWS) {
    return `has too many rows (got more than ${MOST_ROWS}); name a table file in the config instead`;
  }
  const wide = rows.find((row) => row.length > MOST_CELLS_OF_A_ROW);
  if (wide !== undefined) {
    return `has a row of too many cells (got ${wide.length}); paste the columns that are asked for`;
  }
  const long = rows.flat().find((cell) => cell.length > MOST_LETTERS_OF_A_CELL);
  if (long === undefined) return null;
  return `has a cell that is too long (got ${long.length} letters); check its quotes and its marks`;
}

/** The days of a column in the way of the config, with how they were read or why they were not. */
interface TableDays {
  /** For each cell; what is no day, or could be two, stays as typed. */
  days: string[];
  /** Null: nothing had to be told. */
  told: string | null;
  problems: string[];
}

type Order = 'month_first' | 'day_first';

const SLASHED = /^(\d{1,2})[/.-](\d{1,2})[/.-](\d{4}|\d{2})$/;

/**
 * Reads the days of a pasted column: 2026-11-24 as it is, 11/24/2026 and 24.11.2026 in the order
 * that the column's own days prove. Where none proves it, US units say that the month comes first;
 * otherwise a day that could be two is refused, and not guessed. Years of two digits are of 2000.
 */
function tableDays(cells: readonly string[], isUs: boolean): TableDays {
  const parts = cells.map((cell) => SLASHED.exec(cell)?.slice(1).map(Number) ?? null);
  const proven = new Set<Order>();
  for (const [first = 0, second = 0] of parts.flatMap((one) => (one === null ? [] : [one]))) {
    if (first > 12) proven.add('day_first');
    if (second > 12) proven.add('month_first');
  }
  if (proven.size > 1) {
    return {
      days: [...cells],
      told: null,
      problems: ['days: some have the day first, some the month; write them like 2026-11-24'],
    };
  }
  const order = [...proven][0] ?? (isUs ? 'month_first' : null);
  const problems: string[] = [];
  let told: string | null = null;
  const days = cells.map((cell, index) => {
    const [first, second, year] = parts[index] ?? [];
    if (first === undefined || second === undefined || year === undefined) return cell;
    const monthFirst = dayOf(year, first, second);
    const dayFirst = dayOf(year, second, first);
    if (order === null && monthFirst !== dayFirst) {
      problems.push(
        `row ${index + 1}: a day that can be read in two ways (got ${cell}); write ${monthFirst} or ${dayFirst}`,
      );
      return cell;
    }
    const day = order === 'day_first' ? dayFirst : monthFirst;
    if (day === null) return cell;
    told ??= `Days are read with the ${order === 'day_first' ? 'day' : 'month'} first: ${cell} is ${day}.`;
    return day;
  });
  return { days, told, problems };
}

function dayOf(year: number, month: number, day: number): string | null {
  const two = (number: number) => String(number).padStart(2, '0');
  return parseSiteDay(`${year < 100 ? 2000 + year : year}-${two(month)}-${two(day)}`);
}
