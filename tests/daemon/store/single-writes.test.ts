import { join } from 'node:path';
import Database from 'libsql';
import { expect, it, onTestFinished } from 'vitest';
import { DATABASE_FILE, openDatabase, waitBriefly } from '../../../daemon/store/database.ts';
import { inTransaction } from '../../../daemon/store/in-transaction.ts';
import { addStep, lastSteps } from '../../../daemon/store/steps.ts';
import { scratchFolder } from '../../scratch-site.ts';

it('a single write that another process keeps out does not spoil what comes after it', () => {
  const folder = scratchFolder();
  const db = openDatabase(folder);
  waitBriefly(db);
  const other = new Database(join(folder, DATABASE_FILE));
  onTestFinished(() => {
    other.close();
    db.close();
  });
  const step = { atMs: 1, kind: 'away', who: 'dewbeat', what: 'tried' } as const;
  other.exec('BEGIN IMMEDIATE');
  expect(() => addStep(db, step)).toThrow(/locked/);
  other.exec('ROLLBACK');
  addStep(db, step);
  inTransaction(db, () => addStep(db, { ...step, what: 'in a transaction' }));
  expect(lastSteps(db, 5).map(({ what }) => what)).toEqual(['tried', 'in a transaction']);
});
