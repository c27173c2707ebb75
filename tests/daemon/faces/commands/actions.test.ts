import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { beforeEach, describe, expect, it } from 'vitest';
import { CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import { type Db, openDatabase } from '../../../../daemon/site/store/database.ts';
import { handWaterSince } from '../../../../daemon/site/store/hand-records.ts';
import { newestPlan } from '../../../../daemon/site/store/plans.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat, type Said } from '../../command-line.ts';

const EXAMPLES = fileURLToPath(new URL('../../../../config-examples/', import.meta.url));
/** 05:10 at the demo's site, 06:10 at the example's. */
const NOW_MS = Date.parse('2026-07-01T09:10:00Z');
const LATER_MS = NOW_MS + 3_600_000;
const KEEPER = ['--who', 'A. Keeper'];

const WATER = ['water', '--bed', 'green-2', '--mm', '5', ...KEEPER];
const STAGE = ['stage', '--bed', 'green-1', '--to', 'emergence', '--why', 'haze', ...KEEPER];
/** A new plan leaves this long to read it. */
const READING_MS = 20 * 60_000;
const KEEP_OFF = ['keep-off', '--bed', 'green-2', '--why', 'mow', ...KEEPER];
const CALL = ['call', '--hotter', '3', ...KEEPER];
const WIND = ['wind', '--answer', 'skip', ...KEEPER];
const TRIM = ['trim', '--bed', 'green-2', '--percent', '150', '--why', 'dry', ...KEEPER];
const ROTATION = ['rotation', '--bed', 'green-2', '--rotations', '2', ...KEEPER];
const ACTIONS: [string, string[]][] = [
  ['water', WATER],
  ['stage', STAGE],
  ['keep-off', KEEP_OFF],
  ['call', CALL],
  ['wind', WIND],
  ['trim', TRIM],
  ['rotation', ROTATION],
];

let cwd: string;
let run: (args: string[], nowMs?: number) => Promise<Said>;
beforeEach(() => {
  cwd = scratchFolder();
  run = (args, nowMs = LATER_MS) => dewbeat(args, { cwd, nowMs });
});

function inStore<T>(read: (db: Db) => T, folder = 'dewbeat-data'): T {
  const db = openDatabase(join(cwd, folder));
  try {
    return read(db);
  } finally {
    db.close();
  }
}

const revision = () => inStore(newestPlan)?.plan.revision ?? 0;

/** The runs of the newest plan to come from an instant on, without those of one bed. */
function runsBeside(bedId: string, fromMs: number) {
  return inStore(newestPlan)
    ?.plan.runs.filter((one) => one.bedId !== bedId && one.startMs >= fromMs)
    .map(({ cycle: _, ...one }) => one);
}

describe('an action at the command line', () => {
  it.each([
    { name: 'trim', args: TRIM, mayMove: 0 },
    // It runs now: what would start in its minute gives way.
    { name: 'rotation', args: ROTATION, mayMove: 1 },
    { name: 'keep-off', args: KEEP_OFF, mayMove: 0 },
  ])('$name on one bed leaves the others where they were', async ({ args, mayMove }) => {
    await run(['plan'], NOW_MS);
    const soonMs = NOW_MS + 60_000;
    const before = runsBeside('green-2', soonMs + READING_MS);
    await run(args, soonMs);
    const after = runsBeside('green-2', soonMs + READING_MS);
    expect(before?.length).toBeGreaterThan(20);
    expect(after).toHaveLength(before?.length ?? 0);
    const stays = new Set(after?.map((one) => JSON.stringify(one)));
    const moved = before?.filter((one) => !stays.has(JSON.stringify(one))) ?? [];
    expect(new Set(moved.map((one) => one.bedId)).size).toBeLessThanOrEqual(mayMove);
    expect(moved.length).toBeLessThanOrEqual(3 * mayMove);
  });

  it.each(ACTIONS)('%s makes the held plan that follows and names its confirm', async (_, args) => {
    await run(['plan'], NOW_MS);
    const said = await run(args);
    expect(said).toMatchObject({ code: 0, err: '' });
    expect(said.out).toMatch(/\nAgainst plan 1:\n {2}Green \d: \d+ cycles? \(were \d+\)/);
    const held = inStore(newestPlan);
    expect(held?.plan.revision).toBe(2);
    expect(said.out).toContain(
      `npx dewbeat confirm --revision 2 --digest ${held?.digest.slice(0, 8)} --who "YOUR NAME" --caution ${CAUTIONS.map(({ code }) => code).join(' ')}`,
    );
  });

  it.each(ACTIONS)('%s leaves the plan out when told to', async (_, args) => {
    await run(['plan'], NOW_MS);
    const said = await run([...args, '--no-plan']);
    expect(said).toMatchObject({ code: 0, err: '' });
    expect(said.out).toContain('To have one now: npx dewbeat plan');
    expect(revision()).toBe(1);
  });

  it.each(ACTIONS)('%s shows before and after, and keeps nothing', async (_, args) => {
    await run(['plan'], NOW_MS);
    const log = (await run(['log'])).out;
    const said = await run([...args, '--preview']);
    expect(said).toMatchObject({ code: 0, err: '' });
    expect(said.out).toContain('PREVIEW, nothing is kept: ');
    expect(said.out).toMatch(/bed +cycles +minutes +of the loss +lowest store at \d\d:\d\d/);
    expect(said.out).toMatch(/Green [12] .* > /);
    expect(said.out).toMatch(/In all \d+ cycles, \d[\d hmin]+ > \d+ cycles, \d[\d hmin]+\./);
    expect((await run(['log'])).out).toBe(log);
    const twice = await run([...args, '--preview', '--no-plan']);
    expect(twice).toMatchObject({ code: 2, err: expect.stringContaining('give one of them') });
  });

  it('says that it is kept where no plan can be made for want of weather', async () => {
    const yaml = readFileSync(join(EXAMPLES, 'minimal.yaml'), 'utf8');
    const winter = yaml
      .split('\n')
      .filter((line) => !/- \{ month: (?!1,)/.test(line))
      .join('\n');
    expect(winter.length).toBeLessThan(yaml.length);
    writeFileSync(join(cwd, 'winter.yaml'), winter);
    const said = await run([...WATER, '-c', 'winter.yaml']);
    expect(said.code).toBe(0);
    expect(said.out).toContain('Green 2: 0.197 in by hand');
    expect(said.err).toMatch(
      /^No plan could be made: .*\nWhat you put down is kept\. Do not repeat/,
    );
    expect(said.err).toContain('npx dewbeat plan -c winter.yaml');
    const kept = inStore((db) => handWaterSince(db, 0), 'dewbeat-data/minimal');
    expect(kept).toHaveLength(1);
    // A preview has nothing to show without a plan, and says why.
    const seen = await run([...WATER, '-c', 'winter.yaml', '--preview']);
    expect(seen).toMatchObject({ code: 1, err: expect.stringContaining('weather') });
  });
});

describe('dewbeat wind', () => {
  it('shows the question and who answered it', async () => {
    expect((await run(['wind'])).out).toContain('asks nothing about the wind');
    await run(['plan'], NOW_MS);
    const asked = await run(['wind']);
    expect(asked.out).toMatch(
      /^Wind is above the limit from .* Run anyway, as planned: \d+ cycles/,
    );
    await run(WIND);
    const told = await run(['wind']);
    expect(told.out).toMatch(/A\. Keeper answered at \d\d:\d\d: skip the windy hours\./);
    expect(told.out).toMatch(/ Skip the windy hours, as planned: \d+ cycles/);
  });

  it.each([
    [['--answer', 'maybe'], '--answer: no such one (got maybe); the choices are run'],
    [['--answer', 'skip'], '--answer: nothing is asked about the wind (got skip)'],
    [[], 'wind: says nothing; give --answer'],
  ])('refuses %j', async (args, text) => {
    const said = await run(['wind', ...args, ...KEEPER]);
    expect(said).toMatchObject({ code: 2, err: expect.stringContaining(text) });
  });
});

describe('dewbeat trim', () => {
  const trimOf = () => inStore(newestPlan)?.plan.warnings.filter(({ code }) => code === 'trim');

  it('stands until it is cleared, and is listed', async () => {
    await run(['plan'], NOW_MS);
    expect((await run(['trim'])).out).toBe(
      'No bed is trimmed by a person: each goes by the config.',
    );
    expect((await run(TRIM)).out).toContain('Green 2: trim 150 % (dry).');
    expect(trimOf()).toMatchObject([{ bedId: 'green-2', trimFraction: 1.5, who: 'A. Keeper' }]);
    expect((await run(['trim'])).out).toMatch(
      /^Green 2: 150 % \(config 100 %\) since 2026-07-01 06:10 by A\. Keeper: dry$/,
    );
    const cleared = await run(['trim', '--bed', 'green-2', '--clear', ...KEEPER]);
    expect(cleared.out).toContain("Green 2: trim back to the config's 100 % (back to the config)");
    expect(trimOf()).toEqual([]);
    expect((await run(['trim'])).out).toContain('No bed is trimmed');
    expect((await run(['log'])).out).toContain(
      "Green 2: trim back to the config's 100 % (back to the config)",
    );
  });

  it.each([
    [['--bed', 'green-2', '--why', 'dry', ...KEEPER], '--percent: is missing'],
    [['--bed', 'green-2', '--percent', '400', '--why', 'dry', ...KEEPER], 'must be 25 to 300'],
    [['--bed', 'green-2', '--percent', '110', ...KEEPER], '--why: is missing; say what you saw'],
    [['--bed', 'green-2', '--percent', '110', '--why', 'dry'], '--who: is missing'],
    [['--percent', '110', '--why', 'dry', ...KEEPER], '--bed: is missing'],
    [['--bed', 'green-2', '--percent', '110', '--clear', ...KEEPER], 'give one of them'],
    [['--bed', 'green-2', '--clear', ...KEEPER], "--clear: no person's trim stands on this bed"],
  ])('refuses %j', async (args, text) => {
    const said = await run(['trim', ...args]);
    expect(said).toMatchObject({ code: 2, err: expect.stringContaining(text) });
  });
});

describe('dewbeat rotation', () => {
  it('adds it now, in a plan that waits for its confirm', async () => {
    await run(['plan'], NOW_MS);
    const said = await run(ROTATION);
    expect(said.out).toContain('Green 2: 2 rotations more now.');
    expect(said.out).toContain('HELD: nothing of this plan is sent');
    const bed = inStore(newestPlan)?.plan.beds.find(({ bedId }) => bedId === 'green-2');
    const own =
      bed?.cycles.filter(({ reasons }) => reasons.some(({ code }) => code === 'asked_for')) ?? [];
    expect(own).toHaveLength(1);
    expect(own[0]?.reasons).toContainEqual({ code: 'asked_for', who: 'A. Keeper', atMs: LATER_MS });
    expect((own[0]?.startMs ?? 0) - LATER_MS).toBeLessThanOrEqual(60 * 60_000);
  });

  it.each([
    [['--bed', 'green-99', ...KEEPER], '--bed: no such bed (got green-99)'],
    [['--bed', 'green-2'], '--who: is missing'],
    [['--bed', 'green-2', '--rotations', '9', ...KEEPER], '--rotations: must be 1 to 5 (got 9)'],
  ])('refuses %j', async (args, text) => {
    const said = await run(['rotation', ...args]);
    expect(said).toMatchObject({ code: 2, err: expect.stringContaining(text) });
  });
});
