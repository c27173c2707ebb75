import { type ColumnUnit, columnUnit, type StationField } from './column-units.ts';
import type { CsvConfig } from './csv-config.ts';
import { columnIndex, placeOf, type TableHead, type TableRow } from './csv-table.ts';
import type { WeatherProblem } from './source.ts';

/** How a file's texts become numbers. */
export interface NumberFormat {
  decimal_mark: '.' | ',';
  missing: readonly string[];
}

/** A column as the reader uses it. */
export interface ReadableColumn {
  /** As the config names it. */
  column: string;
  index: number;
  unit: ColumnUnit;
}

/** A cell as a number in the project's unit; null with a problem, or null where it is missing. */
export type CellReading = { value: number | null; problem: WeatherProblem | null };

/** A number as machines write it. */
export const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;

/** The columns of the config, found in the table. */
export function findColumns(
  table: TableHead,
  columns: CsvConfig['columns'],
): Map<StationField, ReadableColumn> {
  const found = new Map<StationField, ReadableColumn>();
  for (const [name, stated] of Object.entries(columns)) {
    const field = name as StationField;
    const unit = stated === undefined ? null : columnUnit(field, stated.unit);
    if (!stated || !unit) continue;
    found.set(field, { column: stated.column, index: columnIndex(table, stated.column), unit });
  }
  return found;
}

/** A reader of single cells. */
export function cellReader(head: TableHead, format: NumberFormat) {
  const missingTexts = new Set(['', ...format.missing.map((text) => text.trim().toLowerCase())]);
  const missingNumbers = new Set(
    format.missing.filter((text) => NUMBER.test(text.trim())).map(Number),
  );
  return (row: TableRow, { column, index, unit }: ReadableColumn): CellReading => {
    const text = row.cells[index] ?? '';
    if (missingTexts.has(text.toLowerCase())) return { value: null, problem: null };
    const where = placeOf(head, row.line);
    const plain = format.decimal_mark === ',' ? text.replace(',', '.') : text;
    if (!NUMBER.test(plain)) {
      const what = `${column} is no number (got ${text.slice(0, 30)})`;
      return { value: null, problem: { where, what, done: 'value left out' } };
    }
    const written = Number(plain);
    const value = missingNumbers.has(written) ? null : unit.convert(written);
    return { value, problem: null };
  };
}
