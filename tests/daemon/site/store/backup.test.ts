import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { describe, expect, it } from 'vitest';
import { addAuditEntry, lastAuditEntries } from '../../../../daemon/site/store/audit-log.ts';
import { backUp, checkBackup } from '../../../../daemon/site/store/backup.ts';
import { DATABASE_FILE, openDatabase } from '../../../../daemon/site/store/database.ts';
import { MIGRATIONS } from '../../../../daemon/site/store/migrations.ts';
import { scratchDatabase, scratchFolder } from '../../../scratch-site.ts';
import { dewbeat } from '../../command-line.ts';

const NOW_MS = Date.parse('2026-07-01T09:10:00Z');

function filled() {
  const db = scratchDatabase();
  for (let line = 1; line <= 40; line++) {
    addAuditEntry(db, { atMs: NOW_MS + line, kind: 'started', who: 'test', what: 'x'.repeat(200) });
  }
  return db;
}

describe('backUp', () => {
  it('copies all of a database that is open, and the copy opens in its place', () => {
    const db = filled();
    const folder = scratchFolder();
    const file = join(folder, DATABASE_FILE);
    expect(backUp(db, file)).toMatchObject({ file, rows: { step: 40 }, lastStepMs: NOW_MS + 40 });
    addAuditEntry(db, {
      atMs: NOW_MS + 99,
      kind: 'stopped',
      who: 'test',
      what: 'after the backup',
    });
    expect(readdirSync(folder)).toEqual([DATABASE_FILE]);
    expect(checkBackup(file)).toMatchObject({ version: MIGRATIONS.length, rows: { step: 40 } });
    const restored = openDatabase(folder);
    expect(lastAuditEntries(restored, 1)[0]?.atMs).toBe(NOW_MS + 40);
    expect(() => restored.exec('DELETE FROM step')).toThrow(/only ever added to/);
    restored.close();
  });

  it('overwrites nothing and leaves nothing behind when it fails', () => {
    const db = filled();
    const folder = scratchFolder();
    const file = join(folder, 'kept');
    writeFileSync(file, 'precious');
    expect(() => backUp(db, file)).toThrow(/is there already .*|is there already;/);
    expect(readFileSync(file, 'utf8')).toBe('precious');
    expect(() => backUp(db, join(folder, 'nowhere', 'b.sqlite'))).toThrow(
      /no backup could be written .*; name a folder/,
    );
    expect(readdirSync(folder)).toEqual(['kept']);
  });
});

describe('checkBackup', () => {
  it('tells a damaged one, one cut short, one of another program, one of a newer dewbeat', () => {
    const db = filled();
    const folder = scratchFolder();
    const good = join(folder, 'good.sqlite');
    backUp(db, good);
    const bytes = readFileSync(good);
    const write = (name: string, content: Buffer | string) => {
      writeFileSync(join(folder, name), content);
      return join(folder, name);
    };
    const holed = Buffer.from(bytes);
    holed.fill(0x5a, 4096 * 2, 4096 * 12);
    expect(() => checkBackup(write('holed', holed))).toThrow(/use another backup/);
    expect(() => checkBackup(write('short', bytes.subarray(0, 4096 * 3)))).toThrow(
      /use another backup/,
    );
    expect(() => checkBackup(write('text', 'no database at all, only words'.repeat(50)))).toThrow(
      /use another backup/,
    );
    expect(() => checkBackup(join(folder, 'absent'))).toThrow(/is not there/);
    const other = new Database(join(folder, 'other'));
    other.exec('CREATE TABLE t (a)');
    other.close();
    expect(() => checkBackup(join(folder, 'other'))).toThrow(/no database of dewbeat/);
    const newer = new Database(write('newer', bytes));
    newer.pragma(`user_version = ${MIGRATIONS.length + 1}`);
    newer.close();
    expect(() => checkBackup(join(folder, 'newer'))).toThrow(/newer dewbeat/);
    expect(checkBackup(good).rows['step']).toBe(40);
  });
});

describe('dewbeat backup', () => {
  it('writes one and checks it, from the command line', async () => {
    const cwd = scratchFolder();
    const say = (...args: string[]) => dewbeat(args, { cwd, nowMs: NOW_MS });
    await say('plan');
    const written = await say('backup', '--to', 'b.sqlite');
    expect(written).toMatchObject({ code: 0, err: '' });
    expect(written.out).toMatch(/b\.sqlite: written and checked, \d\.\d MB, 1 plans, 0 confirms/);
    expect((await say('backup', '--check', 'b.sqlite')).out).toContain(': sound, ');
    expect(await say('backup', '--to', 'b.sqlite')).toMatchObject({ code: 1 });
    expect(await say('backup')).toMatchObject({ code: 2 });
    expect(existsSync(join(cwd, 'b.sqlite-wal'))).toBe(false);
  });
});
