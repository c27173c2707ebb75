import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { addAuditEntry } from '../../../../daemon/site/store/audit-log.ts';
import { DATABASE_FILE, openDatabase, writeFault } from '../../../../daemon/site/store/database.ts';
import { refuseDamage } from '../../../../daemon/site/store/store-faults.ts';
import { scratchDatabase, scratchFolder } from '../../../scratch-site.ts';

const copiesIn = (folder: string) =>
  readdirSync(folder).filter((name) => name.startsWith(`${DATABASE_FILE}.corrupt-`));

/** A database with a hole where its rows stand: it opens, and is damaged all the same. */
function holed(): { folder: string; file: string } {
  const folder = scratchFolder();
  const db = openDatabase(folder);
  for (let line = 0; line < 200; line++) {
    addAuditEntry(db, { atMs: line, kind: 'started', who: 'test', what: 'x'.repeat(300) });
  }
  db.pragma('wal_checkpoint(TRUNCATE)');
  db.close();
  const file = join(folder, DATABASE_FILE);
  const bytes = readFileSync(file);
  // The last pages hold rows of the log; the schema in the first ones stays readable.
  bytes.fill(0x5a, bytes.length - 4096 * 6);
  writeFileSync(file, bytes);
  return { folder, file };
}

describe('a damaged database', () => {
  it('is refused at the open when it is none at all: one copy is kept, however often', () => {
    const folder = scratchFolder();
    const file = join(folder, DATABASE_FILE);
    writeFileSync(file, 'these bytes are no database, though there are enough'.repeat(40));
    const before = readFileSync(file, 'utf8');
    for (let start = 0; start < 3; start++) {
      expect(() => openDatabase(folder)).toThrow(
        /is damaged .*a copy is kept as dewbeat\.sqlite\.corrupt-\d{8}T\d{6}Z; .*restore a copy/,
      );
    }
    expect(copiesIn(folder)).toHaveLength(1);
    expect(readFileSync(join(folder, copiesIn(folder)[0] ?? ''), 'utf8')).toBe(before);
    expect(readFileSync(file, 'utf8')).toBe(before);
  });

  it('is found by the look that the daemon takes before it starts', () => {
    const { folder, file } = holed();
    const db = openDatabase(folder);
    expect(() => refuseDamage(db, file)).toThrow(/is damaged .*; a copy is kept/);
    db.close();
    expect(copiesIn(folder).length).toBeGreaterThanOrEqual(1);
    expect(existsSync(file)).toBe(true);
  });

  it('lets a sound one through', () => {
    const folder = scratchFolder();
    const db = openDatabase(folder);
    refuseDamage(db, join(folder, DATABASE_FILE));
    db.close();
    expect(copiesIn(folder)).toEqual([]);
  });
});

describe('writeFault', () => {
  it('is null for a database that takes a commit, and says why one does not', () => {
    const db = scratchDatabase();
    expect(writeFault(db)).toBeNull();
    db.pragma('query_only = ON');
    expect(writeFault(db)).toMatch(/readonly/);
    db.pragma('query_only = OFF');
    expect(writeFault(db)).toBeNull();
  });
});
