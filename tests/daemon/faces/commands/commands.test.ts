import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'libsql';
import { beforeEach, describe, expect, it } from 'vitest';
import { CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import { DATABASE_FILE } from '../../../../daemon/site/store/database.ts';
import { takeInstanceLock } from '../../../../daemon/site/store/running-daemon.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat, type Said } from '../../command-line.ts';

const NOW_MS = Date.parse('2026-07-01T09:10:00Z');
const HOUR_MS = 3_600_000;
const TICKED = CAUTIONS.map((caution) => caution.code);

let cwd: string;
let run: (args: string, nowMs?: number, answers?: string[]) => Promise<Said>;
beforeEach(() => {
  cwd = scratchFolder();
  run = (args, nowMs = NOW_MS, answers) =>
    dewbeat(args.split(' '), { cwd, nowMs, ...(answers ? { answers } : {}) });
});

/** The confirm command that a command has printed, as arguments. */
function printedConfirm(said: Said): string[] {
  const line = said.out.split('\n').find((one) => one.includes('dewbeat confirm')) ?? '';
  return [...line.trim().matchAll(/"([^"]*)"|(\S+)/g)]
    .map((match) => match[1] ?? match[2] ?? '')
    .slice(2);
}

describe('the embedded demo from the command line', () => {
  it('checks, plans, shows and confirms with the very command that it printed', async () => {
    expect(await run('check')).toMatchObject({ code: 0 });
    const planned = await run('plan');
    expect(planned.code).toBe(0);
    expect(planned.out).toContain('HELD: nothing of this plan is sent');
    expect(planned.out).toMatch(/\(invented\)/);
    const confirmed = await dewbeat(printedConfirm(planned), { cwd, nowMs: NOW_MS });
    expect(confirmed).toMatchObject({ code: 0, err: '' });
    expect(confirmed.out).toContain('file: accepted');
    const runs = readFileSync(join(cwd, 'dewbeat-data', 'out', 'runs.csv'), 'utf8');
    expect(runs.split('\r\n').length).toBeGreaterThan(40);
    const shown = await run('show');
    expect(shown.out).toContain('CONFIRMED by YOUR NAME at 05:10.');
    expect(shown.out).not.toContain('dewbeat confirm');
  });

  it('asks for each caution at a terminal, and a no refuses', async () => {
    const planned = await run('plan');
    const bare = printedConfirm(planned).slice(0, -1 - TICKED.length);
    const refused = await dewbeat(bare, { cwd, nowMs: NOW_MS, answers: ['yes', 'no', 'y'] });
    expect(refused.code).toBe(1);
    expect(refused.err).toContain('missing no_injector_armed');
    const taken = await dewbeat(bare, { cwd, nowMs: NOW_MS, answers: ['yes', 'Yes', 'y'] });
    expect(taken.code).toBe(0);
  });

  it('shows JSON whose digest can be worked out, CSV with the agreed header, and a card', async () => {
    await run('plan');
    const json = JSON.parse((await run('show --format json')).out) as { digest: string };
    expect(json.digest).toMatch(/^[0-9a-f]{64}$/);
    expect((await run('show --format csv')).out).toMatch(
      /^bed,station,start,run_seconds,gross_mm,net_mm,cycle,reason\r\n/,
    );
    expect((await run('show --format card')).out).toContain('HELD: not confirmed.');
  });

  /** What the receiver's file holds of the newest order. */
  const order = () =>
    JSON.parse(readFileSync(join(cwd, 'dewbeat-data', 'out', 'plan.json'), 'utf8')) as {
      runs: unknown[];
      withdrawn?: { who: string };
    };

  it.each(['stop-water', 'hold'])(
    'stops water without a confirm by %s, and the confirm of a release waters again',
    async (stop) => {
      await dewbeat(printedConfirm(await run('plan')), { cwd, nowMs: NOW_MS });
      const stopped = await dewbeat([stop, '--demo', '--who', 'B. Mower', '--why', 'lightning'], {
        cwd,
        nowMs: NOW_MS,
      });
      expect(stopped).toMatchObject({ code: 0, err: '' });
      expect(order()).toMatchObject({ runs: [], withdrawn: { who: 'B. Mower' } });
      const line = '! Water stopped by B. Mower (lightning): ';
      expect((await run('show')).out).toContain(line);
      expect((await run('release')).out).toContain(line);

      expect((await run('plan')).out).toContain('No cycles.');
      const release = await dewbeat(['release', '--bed', 'all', '--who', 'A. Keeper'], {
        cwd,
        nowMs: NOW_MS,
      });
      expect(release.out).toMatch(/ plan 3 {3}digest/);
      // Nothing is watered by the plan alone.
      expect(order().runs).toEqual([]);
      const again = await dewbeat(printedConfirm(release), { cwd, nowMs: NOW_MS });
      expect(again.code).toBe(0);
      expect(order().runs.length).toBeGreaterThan(0);
      expect((await run('log')).out).toMatch(/water released/);
      expect((await run('release')).out).toBe('No water is stopped.');
    },
  );

  it('shows the names of before in no help, and hears them', async () => {
    const help = (await run('--help')).out;
    expect(help).toMatch(/^ {2}stop-water /m);
    expect(help).not.toMatch(/\bhold\b/);
    expect((await run('hold --help')).out).toContain('--until <time>');
    expect((await run('plan --help')).out).not.toContain('--lift');
    await dewbeat(printedConfirm(await run('plan')), { cwd, nowMs: NOW_MS });
    await run('hold --demo --bed green-3');
    const lifting = await run('plan --lift green-3 --who Keeper');
    await dewbeat(printedConfirm(lifting), { cwd, nowMs: NOW_MS });
    expect((await run('log')).out).toMatch(/water released/);
  });

  it('stops one bed until a time, and the known beds even when one name is wrong', async () => {
    await dewbeat(printedConfirm(await run('plan')), { cwd, nowMs: NOW_MS });
    const said = await run('stop-water --demo --beds green-3 green-99 --until 13:00');
    expect(said.code).toBe(2);
    expect(said.err).toMatch(/^--beds: .*green-99/m);
    const runs = readFileSync(join(cwd, 'dewbeat-data', 'out', 'runs.csv'), 'utf8');
    expect(runs).not.toContain('green-3,');
    expect(runs).toContain('green-2,');
  });

  it('refuses a stale digest, a second confirm, and a confirm after the day', async () => {
    const first = printedConfirm(await run('plan'));
    const second = printedConfirm(await run('plan'));
    const stale = await dewbeat(first, { cwd, nowMs: NOW_MS });
    expect(stale.code).toBe(1);
    expect(stale.err).toContain('plan 1 is not the newest');
    const late = await dewbeat(second, { cwd, nowMs: NOW_MS + 24 * HOUR_MS });
    expect(late.err).toContain('that day is over');
    expect((await dewbeat(second, { cwd, nowMs: NOW_MS })).code).toBe(0);
    const twice = await dewbeat(second, { cwd, nowMs: NOW_MS });
    expect(twice.err).toContain('nothing is sent twice');
  });

  it('prints the hours with reference ET as a table and as CSV', async () => {
    const table = await run('weather');
    expect(table.code).toBe(0);
    expect(table.out).toMatch(/reference ET in all 0\.\d{3} in over 24 h/);
    expect(table.out).toContain('filled vapourPressureKPa');
    const csv = await run('weather --format csv --days 2');
    expect(csv.out.split('\n')).toHaveLength(49);
  });

  it('refuses what no command knows, with exit code 2', async () => {
    expect((await run('sprinkle')).code).toBe(2);
    expect((await run('plan --nonsense')).code).toBe(2);
    expect((await run('weather --from yesterday')).code).toBe(2);
    expect((await run('replay --from 2026-07-01 --days 0 --out r')).code).toBe(2);
    expect((await run('check -c nowhere.yaml')).code).toBe(2);
  });

  it('gives help with an example for every command', async () => {
    const help = await run('--help');
    const commands = [...help.out.matchAll(/^ {2}([a-z][a-z-]+) /gm)].map(
      (match) => match[1] ?? '',
    );
    const own = commands.filter((name) => name !== 'help');
    expect(own).toEqual(
      expect.arrayContaining([
        'check',
        'weather',
        'plan',
        'show',
        'confirm',
        'stop-water',
        'release',
        'log',
        'replay',
        'prospect',
        'run',
      ]),
    );
    for (const name of own) {
      const said = await run(`${name} --help`);
      expect(said.code, name).toBe(0);
      expect(said.out, name).toContain(`$ dewbeat ${name}`);
    }
  });
});

describe('the first start of the demo', () => {
  // Whatever the hour of the machine, the demo must show a plan at once.
  it.each(Array.from({ length: 24 }, (_, hour) => hour))(
    'has a live plan at %i h UTC',
    async (hour) => {
      for (const minute of [1, 58]) {
        const folder = scratchFolder();
        const nowMs = Date.parse('2026-11-25T00:00:00Z') + hour * HOUR_MS + minute * 60_000;
        const said = await dewbeat(['run', '--log-level', 'silent'], {
          cwd: folder,
          nowMs,
          stopOnceSaid: 'The daemon stays up',
        });
        expect(said.out, `${hour}:${minute}`).toContain('HELD: nothing of this plan is sent');
        expect(said.out).not.toContain('No cycles.');
      }
    },
  );
});

describe('what can be wrong with the data folder', () => {
  it('says so when there is no plan yet', async () => {
    expect(await run('show')).toMatchObject({
      code: 1,
      err: expect.stringContaining('dewbeat plan'),
    });
  });

  it('refuses a second daemon', async () => {
    await run('plan');
    const lock = takeInstanceLock(join(cwd, 'dewbeat-data'));
    const said = await run('run');
    lock?.release();
    expect(said.code).toBe(1);
    expect(said.err).toContain('another dewbeat runs on this data folder');
  });

  it('refuses a database of a newer version', async () => {
    await run('plan');
    const raw = new Database(join(cwd, 'dewbeat-data', DATABASE_FILE));
    raw.pragma('user_version = 9999');
    raw.close();
    const said = await run('show');
    expect(said.code).toBe(1);
    expect(said.err).toContain('written by a newer dewbeat');
  });

  it('refuses a data folder that is a file', async () => {
    mkdirSync(join(cwd, 'dewbeat-data'));
    await run('check');
    writeFileSync(join(cwd, 'dewbeat.yaml'), 'site: {}\n');
    expect((await run('check')).code).toBe(2);
    expect(existsSync(join(cwd, 'dewbeat-data', DATABASE_FILE))).toBe(false);
  });
});
