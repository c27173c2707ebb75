import type { Db } from '../../../daemon/site/store/database.ts';

/** Those whose rows are numbered as they come. */
const TABLES = [
  'plan',
  'confirmation',
  'hold',
  'owed',
  'attempt',
  'step',
  'leeway_given',
  'leeway_use',
] as const;

/** Sees that no row that once stood is lost or changed. */
export interface LogKeeper {
  /** Takes in what is new. */
  look(): void;
  /** Compares all that was ever seen with what stands now; gives what is wrong. */
  judge(): string[];
  rows(): number;
}

export function logKeeper(db: Db): LogKeeper {
  const seen = new Map<string, string[]>(TABLES.map((table) => [table, []]));
  const lastRowid = new Map<string, number>();
  const read = (table: string, afterRowid: number) =>
    db
      .prepare(`SELECT rowid AS place, * FROM ${table} WHERE rowid > ? ORDER BY rowid`)
      .all(afterRowid) as { place: number }[];
  const rowsNow = (table: string) => read(table, 0).map((row) => JSON.stringify(row));
  return {
    look() {
      for (const [table, rows] of seen) {
        for (const row of read(table, lastRowid.get(table) ?? 0)) {
          rows.push(JSON.stringify(row));
          lastRowid.set(table, row.place);
        }
      }
    },
    judge() {
      return [...seen].flatMap(([table, rows]) => {
        const now = new Set(rowsNow(table));
        return rows
          .filter((row) => !now.has(row))
          .map((row) => `${table}: lost or changed: ${row}`);
      });
    },
    rows: () => [...seen.values()].reduce((sum, rows) => sum + rows.length, 0),
  };
}
