import { execFileSync } from 'node:child_process';
import {
  chmodSync,
  chownSync,
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  readFileSync,
  statSync,
  symlinkSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { addAuditEntry } from '../../../../daemon/site/store/audit-log.ts';
import { backUp } from '../../../../daemon/site/store/backup.ts';
import { DATABASE_FILE, openDatabase } from '../../../../daemon/site/store/database.ts';
import { writeOwnFile } from '../../../../daemon/site/store/own-files.ts';
import {
  takeInstanceLock,
  writeDaemonStatus,
  writeLastLook,
} from '../../../../daemon/site/store/running-daemon.ts';
import { scratchFolder } from '../../../scratch-site.ts';

const rightsOf = (path: string) => statSync(path).mode & 0o777;
/** Rights of every file and folder, where they are not those of our own. */
const wrongIn = (folder: string) =>
  readdirSync(folder, { recursive: true, withFileTypes: true })
    .map((entry) => join(entry.parentPath, entry.name))
    .filter((path) => rightsOf(path) !== (statSync(path).isDirectory() ? 0o700 : 0o600));

function opened(folder: string) {
  const db = openDatabase(folder);
  onTestFinished(() => void db.close());
  addAuditEntry(db, { atMs: 1, kind: 'started', who: 'A. Tester (invented)', what: 'x' });
  return db;
}

const STATUS = { format: 'dewbeat-status' } as unknown as Parameters<typeof writeDaemonStatus>[1];

describe('the data folder', () => {
  it('and all that is written in it is nobody else’s, whatever the umask', () => {
    const before = process.umask(0);
    onTestFinished(() => void process.umask(before));
    const folder = join(scratchFolder(), 'above', 'data');
    const db = opened(folder);
    const lock = takeInstanceLock(folder);
    writeLastLook(folder, 1);
    writeDaemonStatus(folder, STATUS);
    backUp(db, join(folder, 'copy.sqlite'));
    expect(readdirSync(folder).toSorted()).toEqual(
      expect.arrayContaining([DATABASE_FILE, `${DATABASE_FILE}-wal`, `${DATABASE_FILE}-shm`]),
    );
    lock?.release();
    expect(wrongIn(folder)).toEqual([]);
    expect([rightsOf(folder), rightsOf(join(folder, '..'))]).toEqual([0o700, 0o700]);
  });

  it('loses the rights that an earlier program left to others, and outputs in it keep theirs', () => {
    const folder = scratchFolder();
    chmodSync(folder, 0o755);
    opened(folder).close();
    mkdirSync(join(folder, 'looks'));
    mkdirSync(join(folder, 'out'));
    writeFileSync(join(folder, 'looks', 'a.jpg'), 'x');
    writeFileSync(join(folder, 'out', 'plan.json'), 'x');
    writeFileSync(join(folder, 'instance.lock'), '');
    for (const name of [DATABASE_FILE, 'looks/a.jpg', 'out/plan.json', 'instance.lock']) {
      chmodSync(join(folder, name), 0o644);
    }
    for (const name of ['', 'looks', 'out']) chmodSync(join(folder, name), 0o755);
    openDatabase(folder).close();
    expect(wrongIn(folder).map((path) => path.slice(folder.length + 1))).toEqual([
      'out',
      'out/plan.json',
    ]);
    expect(rightsOf(folder)).toBe(0o700);
  });

  it('stays open where it holds the config as well; our files in it do not', () => {
    const folder = scratchFolder();
    chmodSync(folder, 0o755);
    writeFileSync(join(folder, 'dewbeat.yaml'), 'x', { mode: 0o644 });
    opened(folder).close();
    openDatabase(folder).close();
    expect(rightsOf(folder)).toBe(0o755);
    expect(rightsOf(join(folder, 'dewbeat.yaml'))).toBe(0o644);
    expect(rightsOf(join(folder, DATABASE_FILE))).toBe(0o600);
  });

  it('keeps a damaged database’s copy to itself', () => {
    const folder = scratchFolder();
    writeFileSync(join(folder, DATABASE_FILE), 'no database at all '.repeat(500), { mode: 0o644 });
    expect(() => openDatabase(folder)).toThrow(/damaged/);
    const copies = readdirSync(folder).filter((name) => name.includes('.corrupt-'));
    expect(copies).toHaveLength(1);
    expect(rightsOf(join(folder, copies[0] ?? ''))).toBe(0o600);
  });

  it('is written through no link that somebody has put there', () => {
    const folder = scratchFolder();
    writeFileSync(join(folder, 'other'), 'theirs');
    symlinkSync('other', join(folder, 'last-look.tmp'));
    expect(() => writeOwnFile(join(folder, 'last-look.tmp'), 'ours')).toThrow(/ELOOP/);
    expect(readFileSync(join(folder, 'other'), 'utf8')).toBe('theirs');
  });
});

describe.runIf(process.geteuid?.() === 0)('beside another user of the machine', () => {
  const NOBODY = 65_534;

  it('what the machine’s keeper writes is the service’s to open', () => {
    const folder = scratchFolder();
    chownSync(folder, NOBODY, NOBODY);
    opened(folder);
    takeInstanceLock(folder)?.release();
    writeLastLook(folder, 1);
    for (const name of readdirSync(folder)) {
      expect([name, statSync(join(folder, name)).uid]).toEqual([name, NOBODY]);
    }
  });

  it('the lock cannot be opened, and so not held, by it', () => {
    const folder = scratchFolder();
    chmodSync(folder, 0o755);
    takeInstanceLock(folder)?.release();
    const lock = join(folder, 'instance.lock');
    expect(existsSync(lock)).toBe(true);
    const tried = () =>
      execFileSync('head', ['-c', '1', lock], { uid: NOBODY, gid: NOBODY, stdio: 'pipe' });
    expect(tried).toThrow(/Permission denied/);
    copyFileSync(lock, `${lock}.open`);
    chmodSync(`${lock}.open`, 0o644);
    execFileSync('head', ['-c', '1', `${lock}.open`], { uid: NOBODY, gid: NOBODY });
  });
});
