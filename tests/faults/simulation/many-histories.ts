import { copyFileSync, mkdirSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { setImmediate } from 'node:timers/promises';
import Database from 'libsql';
import { GUARDS, type RefusalCode } from '../../../daemon/site/gate/judge-confirm.ts';
import { DATABASE_FILE, type Db, openDatabase } from '../../../daemon/site/store/database.ts';
import { type HistoryResult, runHistory, type StopMutant } from './history.ts';
import type { LeewayMutant } from './leeway-mutants.ts';
import { smallSite } from './small-site.ts';

/** What came of many histories. */
export interface Histories {
  histories: number;
  /** Of each history, in order of the seeds. */
  hashes: string[];
  counts: Record<string, number>;
  /** Those that broke a promise, with their seeds. */
  failed: HistoryResult[];
}

/**
 * Runs the histories of many seeds, each on a database of its own.
 *
 * @param asked.withoutGuard A guard that is taken out of the gate: a mutant.
 * @param asked.stopMutant What is wrong with the stop: a mutant.
 * @param asked.leewayMutant What is wrong with how a day is followed: a mutant.
 * @param asked.stopAtFirst Ends at the first that breaks a promise.
 */
export async function manyHistories(asked: {
  firstSeed: number;
  histories: number;
  withoutGuard?: RefusalCode;
  stopMutant?: StopMutant;
  leewayMutant?: LeewayMutant;
  stopAtFirst?: boolean;
  onHistory?(done: number): void;
}): Promise<Histories> {
  const {
    firstSeed,
    histories,
    withoutGuard,
    stopMutant,
    leewayMutant,
    stopAtFirst = false,
  } = asked;
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-histories-'));
  try {
    const config = smallSite(folder);
    const template = join(folder, 'template');
    mkdirSync(template);
    const fresh = openDatabase(template);
    fresh.pragma('journal_mode = DELETE');
    fresh.close();
    const guards = GUARDS.filter((guard) => guard.code !== withoutGuard);
    const result: Histories = { histories: 0, hashes: [], counts: {}, failed: [] };
    for (let seed = firstSeed; seed < firstSeed + histories; seed++) {
      const file = join(folder, `${seed}.sqlite`);
      copyFileSync(join(template, DATABASE_FILE), file);
      const db: Db = new Database(file);
      // Nothing here can lose its power but in the simulation: what it commits needs no disk.
      db.pragma('synchronous = OFF');
      db.pragma('foreign_keys = ON');
      // What the daemon keeps beside its database is the history's own as well.
      const dataFolder = join(folder, `${seed}`);
      mkdirSync(dataFolder);
      const own = { ...config, dataFolder };
      const history = await runHistory({ seed, config: own, db, guards, stopMutant, leewayMutant });
      db.close();
      rmSync(file);
      rmSync(dataFolder, { recursive: true });
      result.histories += 1;
      result.hashes.push(history.hash);
      for (const [what, times] of Object.entries(history.counts)) {
        result.counts[what] = (result.counts[what] ?? 0) + times;
      }
      if (history.broken.length > 0) result.failed.push(history);
      // Everything above runs in one turn of the event loop, and closed databases are freed between turns.
      await setImmediate();
      asked.onHistory?.(result.histories);
      if (stopAtFirst && result.failed.length > 0) break;
    }
    return result;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
