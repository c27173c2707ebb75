import { join } from 'node:path';
import Database from 'libsql';
import { expect, it, onTestFinished } from 'vitest';
import { addAuditEntry, lastAuditEntries } from '../../../../daemon/site/store/audit-log.ts';
import {
  DATABASE_FILE,
  inTransaction,
  openDatabase,
  waitBriefly,
} from '../../../../daemon/site/store/database.ts';
import { scratchFolder } from '../../../scratch-site.ts';

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
  expect(() => addAuditEntry(db, step)).toThrow(/locked/);
  other.exec('ROLLBACK');
  addAuditEntry(db, step);
  inTransaction(db, () => addAuditEntry(db, { ...step, what: 'in a transaction' }));
  expect(lastAuditEntries(db, 5).map(({ what }) => what)).toEqual(['tried', 'in a transaction']);
});
