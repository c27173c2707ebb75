import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { confirmPlan } from '../../../../daemon/site/gate/gate.ts';
import { ALL_CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import { openDatabase } from '../../../../daemon/site/store/database.ts';
import { addAttempt } from '../../../../daemon/site/store/outbox.ts';
import { newestPlan } from '../../../../daemon/site/store/plans.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat, type Said } from '../../command-line.ts';

/** 05:10 at the demo's site. */
const NOW_MS = Date.parse('2026-07-01T09:10:00Z');
const DAY_MS = 24 * 3_600_000;
const KEEPER = ['--who', 'A. Keeper'];

let cwd: string;
let run: (args: string[], nowMs?: number) => Promise<Said>;
beforeEach(() => {
  cwd = scratchFolder();
  run = (args, nowMs = NOW_MS) => dewbeat(args, { cwd, nowMs });
});

/** A plan of the demo, confirmed and taken by its output; gives its first run. */
async function confirmed() {
  await run(['plan']);
  const db = openDatabase(join(cwd, 'dewbeat-data'));
  try {
    const stored = newestPlan(db);
    if (stored === null) throw new Error('there is no plan');
    const { siteId, madeFor } = stored.plan;
    if (madeFor === undefined) throw new Error('the plan does not say for what site it is');
    const site = { siteId, ...madeFor, units: 'us' as const };
    const result = confirmPlan(
      { db, clock: siteClock('Etc/GMT'), site, outputs: ['file'], nowMs: NOW_MS },
      {
        revision: stored.plan.revision,
        digest: stored.digest,
        who: 'A. Keeper',
        cautions: ALL_CAUTIONS.map(({ code }) => code),
      },
    );
    if (!result.ok) throw new Error(result.refusal.code);
    const { orderId } = result;
    addAttempt(db, { orderId, output: 'file', atMs: NOW_MS, answer: 'accepted', detail: '' });
    const [first] = stored.plan.runs;
    if (first === undefined) throw new Error('there is no run');
    return { first, runs: stored.plan.runs, siteDay: stored.plan.siteDay };
  } finally {
    db.close();
  }
}

describe('dewbeat report', () => {
  it('writes a day to print, and its tables where asked', async () => {
    const { siteDay, runs } = await confirmed();
    const said = await run(['report', '--day', siteDay], NOW_MS + DAY_MS);
    expect(said).toMatchObject({ code: 0, err: '' });
    expect(readFileSync(join(cwd, `report-${siteDay}.html`), 'utf8')).toContain(
      '<h2>Water by bed</h2>',
    );
    const tables = await run(['report', '--out', 'season'], NOW_MS + DAY_MS);
    expect(tables.out).toContain('water-by-bed.csv');
    const lines = readFileSync(join(cwd, 'season', 'runs.csv'), 'utf8')
      .trim()
      .split('\r\n');
    expect(lines).toHaveLength(runs.length + 1);
    expect(existsSync(join(cwd, 'season', 'report.html'))).toBe(true);
  });

  it.each([
    [['--day', 'yesterday'], '--day: no day (got yesterday)'],
    [['--day', '2026-07-01', '--to', '2026-07-02'], '--day: goes without --from and --to'],
    [['--from', '2026-07-02', '--to', '2026-07-01'], '--from: lies after --to'],
    [['--from', '2020-07-02', '--to', '2026-07-01'], '--from: more than 732 days'],
  ])('refuses %s', async (args, words) => {
    const said = await run(['report', ...args]);
    expect(said.code).toBe(2);
    expect(said.err).toContain(words);
  });
});

describe('dewbeat meter', () => {
  it('keeps readings and tells the volume between', async () => {
    expect((await run(['meter'])).out).toContain('was never read');
    await run(['meter', '--read', '1000 gal', '--at', '05:00', ...KEEPER]);
    const second = await run(['meter', '--read', '4.2 m3', ...KEEPER]);
    expect(second.out).toMatch(/since 2026-07-01T05:00/);
    expect((await run(['meter'])).out).toMatch(
      /: 1000 gal, by .*\n.*: 1110 gal, 110 gal since the one before, by/,
    );
    expect((await run(['log'])).out).toContain('meter read');
  });

  it.each([
    [['--read', '1000', ...KEEPER], 'has no unit'],
    [['--read', '1000 gal'], '--who: is missing'],
    [['--read', '1000 gal', '--at', '23:00', ...KEEPER], '--at: lies ahead'],
    [['--read', '-5 gal', ...KEEPER], '--read: is too small'],
  ])('refuses %s', async (args, words) => {
    const said = await run(['meter', ...args]);
    expect(said.code).toBe(2);
    expect(said.err).toContain(words);
  });
});

describe('dewbeat correct', () => {
  it('adds a row, and reports show both values', async () => {
    const { first } = await confirmed();
    const start = new Date(first.startMs + 60_000).toISOString();
    const args = ['correct', '--what', 'ran', '--station', first.stationId, '--start', start];
    const later = NOW_MS + DAY_MS;
    const said = await run([...args, '--seconds', '0', '--why', 'valve shut', ...KEEPER], later);
    expect(said).toMatchObject({ code: 0, err: '' });
    await run([...args, '--seconds', '60', '--why', 'it ran a little', ...KEEPER], later);
    await run(['report', '--out', 'season'], later);
    const table = (name: string) => readFileSync(join(cwd, 'season', name), 'utf8').split('\r\n');
    const [, one, two] = table('corrections.csv').map((line) => line.split(','));
    const minutes = (first.runS / 60).toFixed(1);
    expect(one?.slice(5, 9)).toEqual([minutes, '0.0', 'min', 'valve shut']);
    expect(two?.slice(5, 7)).toEqual(['0.0', '1.0']);
    const row = table('runs.csv')
      .find((line) => line.includes('corrected'))
      ?.split(',');
    expect(row?.slice(7, 13)).toEqual([minutes, '', '', minutes, '1.0', 'corrected']);
  });

  it.each([
    [
      ['--what', 'ran', '--station', 'nowhere', '--start', '05:00', '--seconds', '5'],
      '--station: no such station',
    ],
    [
      ['--what', 'water', '--bed', 'green-1', '--start', '05:00', '--depth', '2 mm'],
      '--start: no water by hand',
    ],
    [
      ['--what', 'meter', '--start', '05:00', '--read', '5 gal'],
      '--start: no reading of the meter',
    ],
    [['--what', 'meter', '--start', '23:00', '--read', '5 gal'], '--start: lies ahead'],
  ])('refuses %s', async (args, words) => {
    const said = await run(['correct', ...args, '--why', 'seen', ...KEEPER]);
    expect(said.code).toBe(2);
    expect(said.err).toContain(words);
  });
});
