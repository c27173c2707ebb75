import { chmodSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { describe, expect, it } from 'vitest';
import { addAuditEntry } from '../../../../daemon/site/store/audit-log.ts';
import { DATABASE_FILE, openDatabase } from '../../../../daemon/site/store/database.ts';
import { MIGRATIONS } from '../../../../daemon/site/store/migrations.ts';
import { takeInstanceLock } from '../../../../daemon/site/store/running-daemon.ts';
import { scratchDatabase, scratchFolder } from '../../../scratch-site.ts';

describe('openDatabase', () => {
  it('writes through a power cut: WAL with synchronous FULL', () => {
    const db = scratchDatabase();
    const [journal] = db.pragma('journal_mode') as { journal_mode: string }[];
    const [synchronous] = db.pragma('synchronous') as { synchronous: number }[];
    expect(journal?.journal_mode).toBe('wal');
    expect(synchronous?.synchronous).toBe(2);
  });

  it('has STRICT tables that are only ever added to', () => {
    const db = scratchDatabase();
    const tables = db
      .prepare(
        "SELECT name, sql FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%'",
      )
      .all() as { name: string; sql: string }[];
    expect(tables.length).toBeGreaterThanOrEqual(9);
    const triggers = db.prepare("SELECT name FROM sqlite_schema WHERE type = 'trigger'").all() as {
      name: string;
    }[];
    const names = triggers.map((trigger) => trigger.name);
    for (const table of tables) {
      expect(table.sql, table.name).toMatch(/STRICT$/);
      expect(names).toContain(`${table.name}_no_update`);
      expect(names).toContain(`${table.name}_no_delete`);
    }
  });

  it('refuses to change or drop a line of the log', () => {
    const db = scratchDatabase();
    addAuditEntry(db, { atMs: 1, kind: 'started', who: 'test', what: 'x' });
    expect(() => db.exec("UPDATE step SET what = 'y'")).toThrow(/only ever added to/);
    expect(() => db.exec('DELETE FROM step')).toThrow(/only ever added to/);
  });

  it('refuses a database of a newer program and leaves it alone', () => {
    const folder = scratchFolder();
    openDatabase(folder).close();
    const raw = new Database(join(folder, DATABASE_FILE));
    raw.pragma(`user_version = ${MIGRATIONS.length + 1}`);
    raw.close();
    expect(() => openDatabase(folder)).toThrow(/newer dewbeat .*; run the newer program/);
  });

  it('refuses a file that is no database and says how to restore', () => {
    const folder = scratchFolder();
    writeFileSync(
      join(folder, DATABASE_FILE),
      'this is no database, but long enough to be read'.repeat(40),
    );
    expect(() => openDatabase(folder)).toThrow(/restore a copy/);
  });

  it('refuses a data folder that is a file', () => {
    const file = join(scratchFolder(), 'taken');
    writeFileSync(file, '');
    expect(() => openDatabase(file)).toThrow(/data folder cannot be written|cannot be opened/);
  });

  it.skipIf(process.getuid?.() === 0)('refuses a data folder without the right to write', () => {
    const folder = scratchFolder();
    chmodSync(folder, 0o500);
    expect(() => openDatabase(folder)).toThrow(/data folder cannot be written/);
  });

  it('opens again what it wrote', () => {
    const folder = scratchFolder();
    const first = openDatabase(folder);
    addAuditEntry(first, { atMs: 1, kind: 'started', who: 'test', what: 'x' });
    first.close();
    const again = openDatabase(folder);
    expect(again.prepare('SELECT count(*) AS n FROM step').get()).toMatchObject({ n: 1 });
    again.close();
  });
});

describe('takeInstanceLock', () => {
  it('lets one holder in, and the next once the first has let go', () => {
    const folder = scratchFolder();
    const first = takeInstanceLock(folder);
    expect(first).not.toBeNull();
    expect(takeInstanceLock(folder)).toBeNull();
    first?.release();
    const second = takeInstanceLock(folder);
    expect(second).not.toBeNull();
    second?.release();
    second?.release();
  });
});
