import type Database from 'libsql';
import { inTransaction } from './in-transaction.ts';

const WRITES = /^\s*(INSERT|UPDATE|DELETE|REPLACE)\b/i;

/**
 * Puts every single write into a transaction of its own, which takes the right to write first. A
 * write that the driver begins and that another process keeps from the database stays "in progress"
 * for the driver, and no transaction of this connection can be ended any more.
 */
export function guardSingleWrites(db: Database.Database): void {
  const prepare = db.prepare.bind(db);
  db.prepare = ((sql: string) => {
    const statement = prepare(sql);
    if (!WRITES.test(sql)) return statement;
    const run = statement.run.bind(statement);
    statement.run = ((...given: unknown[]) =>
      db.inTransaction
        ? run(...given)
        : inTransaction(db, () => run(...given))) as typeof statement.run;
    return statement;
  }) as typeof db.prepare;
}
