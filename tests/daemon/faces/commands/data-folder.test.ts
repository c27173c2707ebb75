import { cpSync, existsSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import { checkBackup } from '../../../../daemon/site/store/backup.ts';
import { DATABASE_FILE } from '../../../../daemon/site/store/database.ts';
import { writeDaemonStatus } from '../../../../daemon/site/store/running-daemon.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat, type Said } from '../../command-line.ts';

const NOW_MS = Date.parse('2026-07-01T13:10:00Z');
const TICKED = CAUTIONS.map((caution) => caution.code);
const EXAMPLE = readFileSync(
  new URL('../../../../config-examples/minimal.yaml', import.meta.url),
  'utf8',
);

let cwd: string;
const at = (folder: string, ...args: string[]): Promise<Said> =>
  dewbeat(args, { cwd: folder, nowMs: NOW_MS });
const memoryOf = (folder: string) => join(folder, 'memory');
const writeConfig = (folder: string, text: string) =>
  writeFileSync(join(folder, 'dewbeat.yaml'), text);
const CONFIG = EXAMPLE.replace(/^data_folder: .*$/m, 'data_folder: ./memory');

beforeEach(async () => {
  cwd = scratchFolder();
  writeConfig(cwd, CONFIG);
  expect((await at(cwd, 'plan')).code).toBe(0);
});

async function confirm(folder: string): Promise<Said> {
  const { digest, plan } = JSON.parse((await at(folder, 'show', '--format', 'json')).out) as {
    digest: string;
    plan: { revision: number };
  };
  const args = ['--revision', String(plan.revision), '--digest', digest, '--who', 'A. Keeper'];
  return at(folder, 'confirm', ...args, '--caution', ...TICKED, 'weather_stands_in');
}

describe('a config that changed between plan and confirm', () => {
  it.each<[string, (text: string) => string, RegExp]>([
    ['a bed is gone', withoutSecondBed, /bed \S+ is gone/],
    ['the zone', (text) => text.replace('zone: Etc/GMT+3', 'zone: Etc/GMT+2'), /zone is now/],
    [
      'a rate',
      (text) => text.replace('stated: 0.72 in/h', 'stated: 2.88 in/h'),
      /station g1-left now has 2\.88 in\/h, it had 0\.72 in\/h;?/,
    ],
  ])('is refused by name: %s', async (_, change, words) => {
    const changed = change(CONFIG);
    expect(changed).not.toBe(CONFIG);
    writeConfig(cwd, changed);
    const said = await confirm(cwd);
    expect(said.code).toBe(1);
    expect(said.err).toMatch(/^not confirmed: the site has changed since the plan was made/);
    expect(said.err).toMatch(words);
    writeConfig(cwd, CONFIG);
    expect((await confirm(cwd)).code, 'as it was').toBe(0);
  });
});

describe('a data folder', () => {
  it('belongs to one site, and another one changes nothing in it', async () => {
    const rows = () => checkBackup(join(memoryOf(cwd), DATABASE_FILE)).rows;
    const before = rows();
    const foreign = CONFIG.replace('id: reed-hollow', 'id: heron-bank');
    expect(foreign).not.toBe(CONFIG);
    writeConfig(cwd, foreign);
    for (const args of [['plan'], ['show'], ['status'], ['log'], ['plan', '--lift']]) {
      const said = await at(cwd, ...args);
      expect(said.code, args.join(' ')).toBe(1);
      expect(said.err).toMatch(
        /memory: this data folder belongs to the site \S+ \(got heron-bank\); name a data_folder of its own for heron-bank/,
      );
    }
    const held = await at(cwd, 'stop-water', '--why', 'leak');
    expect(held.code).toBe(1);
    expect(held.err).toMatch(/NOT WRITTEN: .* belongs to the site reed-hollow \(got heron-bank\)/);
    expect(rows()).toEqual(before);
  });

  it('stops everything in a copy until a fresh plan is confirmed, and leaves a copy that is read', async () => {
    expect((await confirm(cwd)).code).toBe(0);
    const other = scratchFolder();
    cpSync(cwd, other, { recursive: true });
    const held = async (folder: string) => (await at(folder, 'status')).out.includes('hold_open');
    await at(other, 'log');
    expect(await held(other), 'only read').toBe(false);
    const planned = await at(other, 'plan');
    expect(planned.code).toBe(0);
    const status = await at(other, 'status');
    expect(status.out).toContain(`moved or copied from ${memoryOf(cwd)}`);
    expect(status.out).toMatch(/in force +none/);
    expect(await held(cwd), 'the original goes on').toBe(false);
    await at(other, 'plan', '--lift');
    expect((await confirm(other)).code).toBe(0);
    expect(await held(other)).toBe(false);
  });

  it('is not begun anew where a daemon has kept a memory', async () => {
    const file = join(memoryOf(cwd), DATABASE_FILE);
    writeDaemonStatus(memoryOf(cwd), {
      format: 'dewbeat-status',
      format_version: 1,
      pid: 1,
      started_at: '2026-07-01T06:00:00Z',
      heartbeat_at: '2026-07-01T11:59:55Z',
      config_read_at: '2026-07-01T06:00:00Z',
      config_problems: [],
      page: null,
      outputs: [],
      duties: [],
      read_back: [],
      left_places: [],
      unhealthy: [],
      database_fault: null,
      database_gone: null,
      lock_gone: null,
    });
    for (const part of ['', '-wal', '-shm']) rmSync(`${file}${part}`, { force: true });
    for (const command of ['plan', 'status']) {
      const said = await at(cwd, command);
      expect(said.code).toBe(1);
      expect(said.err).toMatch(/is gone, though a daemon has kept its memory there .*; stop the/);
    }
    expect(existsSync(file)).toBe(false);
    rmSync(join(memoryOf(cwd), 'status.json'));
    expect((await at(cwd, 'plan')).code, 'nobody has kept one').toBe(0);
  });
});

function withoutSecondBed(text: string): string {
  return text
    .split('\n')
    .filter((line) => !/green-2/.test(line))
    .join('\n');
}
