import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import type { DayPlan } from '../../../../calc/schedule/day-plan.ts';
import { CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import { openDatabase } from '../../../../daemon/site/store/database.ts';
import { newestPlan } from '../../../../daemon/site/store/plans.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat, type Said } from '../../command-line.ts';

/** 05:10 at the demo's site. */
const NOW_MS = Date.parse('2026-07-01T09:10:00Z');
const HOUR_MS = 3_600_000;
const KEEPER = ['--who', 'A. Keeper'];

let cwd: string;
let run: (args: string[], nowMs?: number) => Promise<Said>;
beforeEach(() => {
  cwd = scratchFolder();
  run = (args, nowMs = NOW_MS) => dewbeat(args, { cwd, nowMs });
});

function plan(): DayPlan {
  const db = openDatabase(join(cwd, 'dewbeat-data'));
  const stored = newestPlan(db);
  db.close();
  if (stored === null) throw new Error('there is no plan');
  return stored.plan;
}

const bedOf = (of: DayPlan, bedId: string) => {
  const bed = of.beds.find((one) => one.bedId === bedId);
  if (bed === undefined) throw new Error(`no ${bedId}`);
  return bed;
};

const move = (...args: string[]) =>
  run(['stage', ...args, ...KEEPER, '--why', 'half of it shows green']);

describe('dewbeat stage', () => {
  it('lists beds with stage, signs, window and prompts, and moves nothing', async () => {
    const said = await run(['stage']);
    expect(said).toMatchObject({ code: 0, err: '' });
    expect(said.out).toContain('Green 1 (green-1): germination, as the config has it, never moved');
    expect(said.out).toContain('ready for emergence when:\n    White root tips show');
    expect(said.out).toMatch(/window: first green from 2026-\d\d-\d\d to .* base 5 °C/);
    expect(said.out).toContain('look: Day 12: the usual time for the step to tillering');
    expect((await run(['stage', '--bed', 'green-5'])).out).not.toContain('Green 1');
  });

  it('moves a bed by a person’s word alone, and the next plan waters it so', async () => {
    await run(['plan']);
    expect(bedOf(plan(), 'green-1').germination).not.toBeNull();
    const said = await move('--bed', 'green-1', '--to', 'emergence');
    expect(said.out).toContain('Green 1: germination to emergence (half of it shows green).');
    await run(['plan']);
    const moved = bedOf(plan(), 'green-1');
    expect(moved).toMatchObject({ stage: 'emergence', germination: null });
    // 0.9 mm in 8 mm becomes 18 mm deep, and starts as full as it was.
    expect(moved.capacityMm).toBeGreaterThan(1.9);
    expect((moved.state['storeMm'] ?? 0) / (0.9 * (18 / 8))).toBeCloseTo(0.2, 3);
    const listed = await run(['stage', '--bed', 'green-1']);
    expect(listed.out).toContain('by A. Keeper (half of it shows green)');
    expect(listed.out).toContain('note: Moved less than 2 days ago');
    expect((await run(['log'])).out).toContain(
      'stage moved  A. Keeper  Green 1: germination to emergence',
    );
  });

  it('steps back, and not before the first stage', async () => {
    await move('--bed', 'green-5', '--back');
    expect((await run(['stage', '--bed', 'green-5'])).out).toContain('(green-5): germination');
    const said = await move('--bed', 'green-5', '--back');
    expect(said).toMatchObject({ code: 2, err: expect.stringContaining('no stage before') });
  });

  it('lets a slow patch rule its bed until it has caught up', async () => {
    const patch = ['--bed', 'green-5', '--patch', 'north edge'];
    const said = await move(...patch, '--share', '15%', '--to', 'germination');
    expect(said.out).toContain('watered as germination: its patch north edge is the younger part');
    const planned = await run(['plan']);
    expect(planned.out).toContain(
      'its patch north edge (15 % of the bed) stands there, the rest at emergence',
    );
    expect(bedOf(plan(), 'green-5').stage).toBe('germination');
    expect((await move(...patch, '--to', 'tillering')).err).toContain('cannot be ahead of its bed');
    await move(...patch, '--to', 'emergence');
    await run(['plan']);
    expect(bedOf(plan(), 'green-5').stage).toBe('emergence');
  });

  it.each([
    [['--bed', 'green-99', '--to', 'emergence'], 'the beds are green-1'],
    [['--to', 'emergence'], '--bed: is missing'],
    [['--bed', 'green-1', '--to', 'germination'], 'stands there already'],
    [['--bed', 'green-1', '--to', 'emergence', '--back'], 'give one of them'],
    [['--bed', 'green-1', '--to', 'emergence', '--share', '15'], 'stands without --patch'],
    [['--bed', 'green-1'], '--to: is missing'],
  ])('refuses %j', async (args, text) => {
    expect(await move(...args)).toMatchObject({ code: 2, err: expect.stringContaining(text) });
  });

  it('asks for a name and a reason', async () => {
    const bare = ['stage', '--bed', 'green-1', '--to', 'emergence'];
    expect((await run([...bare, '--why', 'seen'])).err).toContain('--who: is missing');
    expect((await run([...bare, ...KEEPER])).err).toContain('--why: is missing');
    expect((await run([...bare, ...KEEPER, '--why', '  '])).code).toBe(2);
  });
});

describe('dewbeat call', () => {
  it('plans anew at once, held, and says what changes bed by bed', async () => {
    await run(['plan']);
    const before = plan();
    const said = await run(['call', '--hotter', '3 °C', '--windier', '1.5', ...KEEPER]);
    expect(said).toMatchObject({ code: 0, err: '' });
    const after = plan();
    expect(after.revision).toBe(2);
    expect(after.weather.highC - before.weather.highC).toBeCloseTo(3, 6);
    expect(after.weather.windMaxMPerS / before.weather.windMaxMPerS).toBeCloseTo(1.5, 6);
    expect(bedOf(after, 'green-2').lossMm).toBeGreaterThan(bedOf(before, 'green-2').lossMm * 1.1);
    expect(said.out).toMatch(
      /Against plan 1:\n( {2}Green \d: \d+ cycles? \(were \d+\), .*\n){4,6}/,
    );
    expect(said.out).toContain('! Day call by A. Keeper: 5.4 °F hotter, wind x 1.5.');
    expect(said.out).toContain('HELD: nothing of this plan is sent');
    expect((await run(['call'])).out).toContain('Day call by A. Keeper at 05:10: 5.4 °F hotter');
  });

  it('takes bare degrees in the person’s units, and only for today', async () => {
    await run(['plan']);
    const highC = plan().weather.highC;
    await run(['call', '--hotter', '-9', '--cloudier', '20', ...KEEPER]);
    expect(plan().weather.highC).toBeCloseTo(highC - 5, 6);
    await run(['plan'], NOW_MS + 24 * HOUR_MS);
    expect(plan().warnings.map((warning) => warning.code)).not.toContain('day_call');
  });

  it('is taken back', async () => {
    await run(['plan']);
    const highC = plan().weather.highC;
    await run(['call', '--hotter', '4', ...KEEPER]);
    const said = await run(['call', '--clear', ...KEEPER]);
    expect(said.out).toContain('the forecast as it is');
    expect(plan().weather.highC).toBeCloseTo(highC, 9);
    expect(plan().warnings.map((warning) => warning.code)).not.toContain('day_call');
    expect((await run(['call'])).out).toContain('No call stands for today.');
  });

  it.each([
    [['--hotter', '40', ...KEEPER], '--hotter: is too large'],
    [['--hotter', 'warm', ...KEEPER], '--hotter: is not a number'],
    [['--windier', '9', ...KEEPER], '--windier: must be 0 to 4 (got 9)'],
    [['--cloudier', '120 %', ...KEEPER], '--cloudier: is too large'],
    [['--clear', '--hotter', '3', ...KEEPER], '--clear: stands beside --hotter'],
    [['--hotter', '3'], '--who: is missing'],
    [KEEPER, 'call: says nothing'],
  ])('refuses %j', async (args, text) => {
    expect(await run(['call', ...args])).toMatchObject({
      code: 2,
      err: expect.stringContaining(text),
    });
  });
});

describe('dewbeat water', () => {
  const water = (args: string[], nowMs = NOW_MS + HOUR_MS) =>
    run(['water', '--bed', 'green-2', ...args, ...KEEPER], nowMs);

  it('counts in the next plan up to what the seedbed could hold', async () => {
    await run(['plan']);
    await run(['plan'], NOW_MS + HOUR_MS);
    const dry = bedOf(plan(), 'green-2').storeNowMm;
    const said = await water(['--mm', '0.2', '--at', '06:05']);
    expect(said).toMatchObject({ code: 0, err: '' });
    await run(['plan'], NOW_MS + HOUR_MS);
    const some = bedOf(plan(), 'green-2');
    // Some of it has gone down to the sand below the seed layer by then.
    expect(some.storeNowMm - dry).toBeGreaterThan(0.05);
    expect(some.storeNowMm - dry).toBeLessThan(0.201);
    await water(['--depth', '0.4 in', '--at', '06:08']);
    const planned = await run(['plan'], NOW_MS + HOUR_MS);
    const full = bedOf(plan(), 'green-2');
    // Of ten millimetres at once what runs through counts for nothing: no more than a full bed holds.
    expect(full.storeNowMm).toBeLessThan(full.capacityMm);
    expect(full.storeNowMm).toBeGreaterThan(some.storeNowMm);
    expect(planned.out).toMatch(
      /Green 2 had water by hand today: .* at 06:05 by A. Keeper; .* at 06:08/,
    );
  });

  it('counts once, however many plans follow', async () => {
    await run(['plan']);
    await water(['--mm', '0.2', '--at', '05:30']);
    await run(['plan'], NOW_MS + HOUR_MS);
    const first = bedOf(plan(), 'green-2').storeNowMm;
    await run(['plan'], NOW_MS + HOUR_MS);
    expect(bedOf(plan(), 'green-2').storeNowMm).toBeCloseTo(first, 6);
  });

  it('counts water that was logged after a plan had passed it over', async () => {
    await run(['plan']);
    await run(['plan'], NOW_MS + HOUR_MS);
    const without = bedOf(plan(), 'green-2').storeNowMm;
    await water(['--mm', '1', '--at', '05:40'], NOW_MS + 1.1 * HOUR_MS);
    await run(['plan'], NOW_MS + 1.1 * HOUR_MS);
    expect(bedOf(plan(), 'green-2').storeNowMm).toBeGreaterThan(without + 0.1);
  });

  it('works a station’s minutes out by its own rate and share', async () => {
    await run(['plan']);
    const said = await water(['--station', 'green-2-1', '--minutes', '2.5']);
    // 0.72 in/h over 2.5 min is 0.030 in, on a third of the bed.
    expect(said.out).toContain('Green 2: 0.030 in by station green-2-1 from 06:07');
    expect(said.out).toContain('By hand today in all: 0.010 in over the bed.');
    expect((await run(['log'])).out).toContain('hand watered  A. Keeper');
  });

  it.each([
    [[], '--depth: is missing; give a depth, or --station with its minutes'],
    [['--mm', '1', '--depth', '1 mm'], '--depth: stands beside --mm; give one of them'],
    [['--mm', '-1'], '--depth: is too small'],
    [['--depth', '2'], '--depth: has no unit'],
    [['--minutes', '3'], '--station: is missing; the stations of green-2 are green-2-1'],
    [['--minutes', '3', '--station', 'green-3-1'], 'not of this bed (got green-3-1)'],
    [['--mm', '1', '--station', 'green-2-1'], '--station: goes with --minutes'],
    [['--minutes', '3', '--station', 'green-2-1', '--at', '06:09'], 'still runs at that'],
    [['--mm', '1', '--at', '23:00'], 'within the last 24 hours'],
    [['--mm', '1', '--at', 'noon'], '--at: no time'],
  ])('refuses %j', async (args, text) => {
    // The demo's place follows from its first start.
    await run(['plan']);
    expect(await water(args)).toMatchObject({ code: 2, err: expect.stringContaining(text) });
  });
});

describe('dewbeat seed', () => {
  it('gives each bed of the config its seed', async () => {
    const said = await run(['seed']);
    expect(said.code).toBe(0);
    expect(said.out).toMatch(/Green 4 {2}5000 ft² {2}7\.50 lb {4}3\.75 lb {3}63 to 94/);
    expect(said.out).toContain('In all 46.80 lb at 7.3 g/m², 2 passes.');
  });

  it('takes an area and a rate as they are said', async () => {
    const said = await run(['seed', '--area', '1000 m²', '--rate', '10 g/m²', '--passes', '1']);
    expect(said.out).toContain('In all 22.05 lb at 10.0 g/m², 1 pass.');
  });

  it.each([
    [['--rate', '1.5'], '--rate: is not a number with a unit'],
    [['--area', '5000'], '--area: has no unit'],
    [['--passes', '1.5'], '--passes: must be 1 to 10'],
    [['--bed', 'x'], 'no such bed (got x)'],
  ])('refuses %j', async (args, text) => {
    expect(await run(['seed', ...args])).toMatchObject({
      code: 2,
      err: expect.stringContaining(text),
    });
  });
});

describe('what persons put down', () => {
  it('never reaches an output without a confirm', async () => {
    await run(['plan']);
    await run(['call', '--hotter', '3', ...KEEPER]);
    const { revision } = plan();
    const said = await run(['show', '--format', 'json']);
    const { digest } = JSON.parse(said.out) as { digest: string };
    const confirm = ['confirm', '--revision', `${revision}`, '--digest', digest, ...KEEPER];
    const cautions = CAUTIONS.map((caution) => caution.code);
    expect((await run(['show'])).out).toContain('HELD');
    expect(await run([...confirm, '--caution', ...cautions])).toMatchObject({ code: 0 });
  });
});
