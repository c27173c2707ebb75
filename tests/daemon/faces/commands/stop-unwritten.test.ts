import { readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { beforeEach, describe, expect, it } from 'vitest';
import { CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import { DATABASE_FILE } from '../../../../daemon/site/store/database.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat, type Said } from '../../command-line.ts';

const NOW_MS = Date.parse('2026-07-01T09:10:00Z');

interface Order {
  runs: { bed_id: string }[];
  withdrawn: { who: string; everything: boolean; beds: string[] } | null;
}

let cwd: string;
let say: (...args: string[]) => Promise<Said>;
const sent = (): Order =>
  JSON.parse(readFileSync(join(cwd, 'dewbeat-data', 'out', 'plan.json'), 'utf8')) as Order;

beforeEach(async () => {
  cwd = scratchFolder();
  say = (...args) => dewbeat(args, { cwd, nowMs: NOW_MS });
  await say('plan');
  const { digest } = JSON.parse((await say('show', '--format', 'json')).out) as { digest: string };
  const ticked = CAUTIONS.map((caution) => caution.code);
  await say(
    ...['confirm', '--revision', '1', '--digest', digest, '--who', 'A. Keeper', '--caution'],
    ...ticked,
  );
});

/** Stands in for a full disk: the store can be read, and takes no hold. */
function refuseHolds(): void {
  const db = new Database(join(cwd, 'dewbeat-data', DATABASE_FILE));
  db.exec(
    "CREATE TRIGGER no_room BEFORE INSERT ON hold BEGIN SELECT RAISE(ABORT, 'database or disk is full'); END",
  );
  db.close();
}

describe('a hold that cannot be written', () => {
  it('reaches the outputs all the same, and ends as a fault that says what to do', async () => {
    expect(sent().runs.length).toBeGreaterThan(10);
    refuseHolds();
    const said = await say('stop-water', '--demo', '--who', 'B. Mower', '--why', 'burst pipe');
    expect(said.code).toBe(1);
    expect(said.err).toContain('Water stopped: everything. NOT WRITTEN');
    expect(said.err).toContain('file: stopped');
    expect(said.err).toMatch(/disk is full.*the water is stopped, but nothing remembers it/);
    expect(sent()).toMatchObject({ runs: [], withdrawn: { who: 'B. Mower', everything: true } });
  });

  it('stops only the beds named while what is in force can be read', async () => {
    refuseHolds();
    const said = await say('stop-water', '--demo', '--beds', 'green-2', '--who', 'B. Mower');
    expect(said.code).toBe(1);
    expect(sent().runs.length).toBeGreaterThan(10);
    expect(sent().runs.filter((run) => run.bed_id === 'green-2')).toEqual([]);
    expect(sent().withdrawn).toMatchObject({ everything: false, beds: ['green-2'] });
  });

  it('stops everything when the store cannot even be read', async () => {
    const file = join(cwd, 'dewbeat-data', DATABASE_FILE);
    for (const part of ['-wal', '-shm']) rmSync(`${file}${part}`, { force: true });
    writeFileSync(file, 'no database at all'.repeat(100));
    const said = await say('stop-water', '--demo', '--beds', 'green-2', '--who', 'B. Mower');
    expect(said.code).toBe(1);
    expect(said.err).toContain('every bed, to be safe');
    expect(said.err).toContain('is damaged');
    expect(sent()).toMatchObject({ runs: [], withdrawn: { everything: true } });
  });
});

describe('a hold on some beds', () => {
  it('brings no runs of the others to a place where none stand', async () => {
    rmSync(join(cwd, 'dewbeat-data', 'out'), { recursive: true });
    const said = await say('stop-water', '--demo', '--beds', 'green-2', '--who', 'B. Mower');
    expect(said.out).toContain('every bed, to be safe');
    expect(sent().runs).toEqual([]);
  });
});
