import { BED_COLUMNS } from '../config/bed-table.ts';
import type { ColumnKeys } from '../config/csv-source.ts';
import { isMap } from '../config/read-text.ts';
import { STATION_COLUMNS } from '../config/station-table.ts';

/** Beds of a config as a table that can be changed and pasted again. */
export function bedsText(entries: readonly unknown[]): string {
  return tableText(entries, BED_COLUMNS);
}

/** The same of stations; a rate from catch cans has no place in a line and is left as it is. */
export function stationsText(entries: readonly unknown[]): string {
  return tableText(entries, STATION_COLUMNS);
}

/** Only columns that some entry uses. */
function tableText(entries: readonly unknown[], columns: ColumnKeys): string {
  const cellOf = (entry: unknown, path: readonly (string | number)[]): string => {
    const value = path.reduce<unknown>(
      (inner, key) => (isMap(inner) ? inner[String(key)] : undefined),
      entry,
    );
    return value === undefined || value === null || typeof value === 'object' ? '' : String(value);
  };
  const used = Object.entries(columns).filter(([, path]) =>
    entries.some((entry) => cellOf(entry, path) !== ''),
  );
  if (used.length === 0) return '';
  const rows = entries.map((entry) => used.map(([, path]) => cellOf(entry, path)).join('; '));
  return [used.map(([name]) => name).join('; '), ...rows].join('\n');
}
