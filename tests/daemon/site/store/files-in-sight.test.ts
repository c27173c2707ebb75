import { copyFileSync, renameSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { addAuditEntry, lastAuditEntries } from '../../../../daemon/site/store/audit-log.ts';
import {
  DATABASE_FILE,
  inTransaction,
  openDatabase,
} from '../../../../daemon/site/store/database.ts';
import { takeInstanceLock } from '../../../../daemon/site/store/running-daemon.ts';
import { goneFiles, keepInSight, refuseGone } from '../../../../daemon/site/store/store-faults.ts';
import { scratchFolder } from '../../../scratch-site.ts';

function opened() {
  const folder = scratchFolder();
  const db = openDatabase(folder);
  const lock = takeInstanceLock(folder);
  if (lock === null) throw new Error('the lock is taken');
  keepInSight(db, { role: 'lock', path: lock.file });
  addAuditEntry(db, { atMs: 1, kind: 'started', who: 'test', what: 'x' });
  onTestFinished(() => {
    lock.release();
    if (db.open) db.close();
  });
  expect(goneFiles(db)).toEqual({ database: null, lock: null });
  return { db, folder, file: join(folder, DATABASE_FILE) };
}

describe('files in sight', () => {
  it.each<[string, (file: string) => void, RegExp]>([
    ['a database deleted', (file) => rmSync(file), /sqlite: was deleted while it is open$/],
    ['its log deleted', (file) => rmSync(`${file}-wal`), /sqlite-wal: was deleted/],
    [
      'a copy in its place',
      (file) => {
        copyFileSync(file, `${file}.copy`);
        renameSync(`${file}.copy`, file);
      },
      /sqlite: was replaced while it is open$/,
    ],
    [
      'its folder renamed',
      (file) => renameSync(dirname(file), `${dirname(file)}-away`),
      /was deleted/,
    ],
  ])('%s is found out, and nothing is written any more', (_, lose, words) => {
    const { db, file } = opened();
    lose(file);
    expect(goneFiles(db).database).toMatch(words);
    const add = () => addAuditEntry(db, { atMs: 2, kind: 'stopped', who: 'test', what: 'y' });
    expect(() => inTransaction(db, add)).toThrow(/; stop the daemon, put the file back or restore/);
    expect(lastAuditEntries(db, 5)).toHaveLength(1);
  });

  it('tells a lock that is gone apart from the database', () => {
    const { db, folder } = opened();
    rmSync(join(folder, 'instance.lock'));
    expect(goneFiles(db)).toEqual({
      database: null,
      lock: expect.stringMatching(/instance\.lock: was deleted while it is open$/),
    });
    expect(() => refuseGone(db)).toThrow(/instance\.lock: was deleted/);
    takeInstanceLock(folder)?.release();
    expect(goneFiles(db).lock).toMatch(/was replaced/);
  });

  it('minds no file that is written, folded in or read by another', () => {
    const { db, folder } = opened();
    const other = openDatabase(folder);
    addAuditEntry(other, { atMs: 2, kind: 'stopped', who: 'test', what: 'y' });
    other.pragma('wal_checkpoint(TRUNCATE)');
    other.close();
    inTransaction(db, () =>
      addAuditEntry(db, { atMs: 3, kind: 'stopped', who: 'test', what: 'z' }),
    );
    db.pragma('wal_checkpoint(TRUNCATE)');
    expect(goneFiles(db)).toEqual({ database: null, lock: null });
  });
});
