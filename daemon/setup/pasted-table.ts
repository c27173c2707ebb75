import type { DisplayUnits } from '../../adapters/display-units.ts';
import { pastedCells } from './pasted-cells.ts';
import type { TableColumn } from './table-columns.ts';
import { tableDays } from './table-days.ts';
import { type Heading, headingsOf } from './table-headings.ts';
import { hasDecimalComma, typedNumber } from './typed-number.ts';

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
