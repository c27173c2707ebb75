import type { Db } from '../../../daemon/site/store/database.ts';

/** The process is gone: nothing of it may do anything any more. */
export class Crash extends Error {
  override name = 'Crash';
}

/** What can go wrong with the store, steered by the history. */
export interface Faults {
  /** Writes and commits until the process dies; null: it lives on. */
  writesToCrash: number | null;
  isDead: boolean;
  isDiskFull: boolean;
  /** How often a write was refused. */
  refused: number;
}

export function noFaults(): Faults {
  return { writesToCrash: null, isDead: false, isDiskFull: false, refused: 0 };
}

/**
 * The database as a process has it that can die between any two writes, and right after a commit.
 * What was committed stays; an open transaction is rolled back, as SQLite does it at the next start.
 */
export function faultyDatabase(real: Db, faults: Faults): Db {
  const alive = () => {
    if (faults.isDead) throw new Crash('after the end');
  };
  const countDown = () => {
    alive();
    if (faults.writesToCrash === null) return;
    faults.writesToCrash -= 1;
    if (faults.writesToCrash > 0) return;
    faults.writesToCrash = null;
    faults.isDead = true;
    throw new Crash('in the middle of its work');
  };
  const write = () => {
    countDown();
    if (!faults.isDiskFull) return;
    faults.refused += 1;
    throw Object.assign(new Error('database or disk is full'), { code: 'SQLITE_FULL' });
  };
  const statement = (sql: string) => {
    alive();
    const inner = prepared(real, sql);
    return new Proxy(inner, {
      get(target, key) {
        const value = Reflect.get(target, key);
        if (typeof value !== 'function') return value;
        if (key === 'run') {
          return (...given: unknown[]) => {
            write();
            return value.apply(target, given);
          };
        }
        return (...given: unknown[]) => {
          alive();
          return value.apply(target, given);
        };
      },
    });
  };
  const transaction = (work: (...given: unknown[]) => unknown) => {
    const inner = real.transaction(work);
    const immediate = (...given: unknown[]) => {
      alive();
      const result = inner.immediate(...given);
      countDown();
      return result;
    };
    return Object.assign(immediate, { immediate });
  };
  return new Proxy(real, {
    get(target, key) {
      if (key === 'prepare') return statement;
      if (key === 'transaction') return transaction;
      const value = Reflect.get(target, key);
      return typeof value === 'function' ? value.bind(target) : value;
    },
  });
}

const statements = new WeakMap<Db, Map<string, ReturnType<Db['prepare']>>>();

/** Statements are the same for every process of a history: preparing one takes longer than running it. */
function prepared(real: Db, sql: string): ReturnType<Db['prepare']> {
  const known = statements.get(real) ?? new Map<string, ReturnType<Db['prepare']>>();
  statements.set(real, known);
  const statement = known.get(sql) ?? real.prepare(sql);
  known.set(sql, statement);
  return statement;
}
