import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import type { DayPlan } from '../../../../calc/schedule/day-plan.ts';
import { CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import { openDatabase } from '../../../../daemon/site/store/database.ts';
import { newestPlan, type StoredPlan } from '../../../../daemon/site/store/plans.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat, type Said } from '../../command-line.ts';

/** 05:10 at the demo's site. */
const NOW_MS = Date.parse('2026-07-01T09:10:00Z');
const HOUR_MS = 3_600_000;
const KEEPER = ['--who', 'A. Keeper'];
const ARMED = ['--bed', 'green-2', '--why', 'injector armed', ...KEEPER];

let cwd: string;
let run: (args: string[], nowMs?: number) => Promise<Said>;
beforeEach(async () => {
  cwd = scratchFolder();
  run = (args, nowMs = NOW_MS) => dewbeat(args, { cwd, nowMs });
  // The demo's place follows from its first start.
  await run(['plan']);
});

function stored(): StoredPlan {
  const db = openDatabase(join(cwd, 'dewbeat-data'));
  const newest = newestPlan(db);
  db.close();
  if (newest === null) throw new Error('there is no plan');
  return newest;
}

const runsOn = (plan: DayPlan, bedId: string) => plan.runs.filter((one) => one.bedId === bedId);

const confirm = (nowMs = NOW_MS) =>
  run(
    [
      'confirm',
      '--revision',
      `${stored().plan.revision}`,
      '--digest',
      stored().digest,
      ...KEEPER,
      '--caution',
      ...CAUTIONS.map((caution) => caution.code),
    ],
    nowMs,
  );

describe('dewbeat keep-off', () => {
  it('lasts until a person ends it, in every plan, with the time that is left', async () => {
    const put = await run(['keep-off', ...ARMED]);
    expect(put).toMatchObject({ code: 0, err: '' });
    expect(put.out).toContain('Keep-off 1 (injector armed) on Green 2 by A. Keeper since 05:10');
    expect(put.out).not.toContain('STILL WATERS');
    for (const nowMs of [NOW_MS + 2 * HOUR_MS, NOW_MS + 24 * HOUR_MS]) {
      const said = await run(['plan'], nowMs);
      expect(runsOn(stored().plan, 'green-2')).toEqual([]);
      expect(runsOn(stored().plan, 'green-1').length).toBeGreaterThan(0);
      expect(said.out).toMatch(
        /! Keep-off 1 \(injector armed\) on Green 2 by A\. Keeper since .*05:10, (2|24) h so far, until a person ends it \(`dewbeat keep-off --end 1 --who NAME`\)\. Without water: Green 2 (has .* left|is at its dry limit now)/,
      );
    }
    expect((await run(['keep-off'], NOW_MS + 25 * HOUR_MS)).out).toContain('25 h so far');
    const end = await run(['keep-off', '--end', '1', ...KEEPER], NOW_MS + 25 * HOUR_MS);
    expect(end.out).toContain('Keep-off 1 (injector armed) is over.');
    await run(['plan'], NOW_MS + 25 * HOUR_MS);
    expect(runsOn(stored().plan, 'green-2').length).toBeGreaterThan(0);
    expect(stored().plan.warnings.map((one) => one.code)).not.toContain('keep_off');
    expect((await run(['keep-off'], NOW_MS + 25 * HOUR_MS)).out).toContain('No keep-off stands.');
    const log = (await run(['log'])).out;
    expect(log).toContain(
      'keep-off put on  A. Keeper  Keep-off (injector armed) on green-2, until a person',
    );
    expect(log).toContain('keep-off ended  A. Keeper  Keep-off 1 (injector armed) is over.');
  });

  it('says when the plan in force still waters, and names the command that stops it', async () => {
    await confirm();
    const said = await run(['keep-off', ...ARMED]);
    expect(said.out).toContain('THE PLAN IN FORCE STILL WATERS THESE BEDS.');
    expect(said.out).toMatch(/Green 2: \d+ runs, the first at \d\d:\d\d/);
    expect(said.out).toContain(
      'npx dewbeat stop-water --beds green-2 --who "A. Keeper" --why "injector armed"',
    );
    // It has stopped nothing by itself.
    expect((await run(['log'])).out).not.toMatch(/ {2}held {2}/);
  });

  it('refuses to confirm a plan made before it, and confirms the one made after', async () => {
    await run(['keep-off', ...ARMED, '--no-plan'], NOW_MS + 1000);
    expect(await confirm(NOW_MS + 2000)).toMatchObject({
      code: 1,
      err: expect.stringContaining('in a keep-off put on after it was made'),
    });
    await run(['plan'], NOW_MS + 3000);
    expect((await confirm(NOW_MS + 4000)).code).toBe(0);
  });

  it('keeps water off after a spray for as long as its label says', async () => {
    const spray = ['--bed', 'green-2', '--why', 'spray', '--label-interval', '4h', ...KEEPER];
    const said = await run(['keep-off', ...spray, '--until', '07:00']);
    expect(said.out).toContain('until 07:00, then the label keeps water off until 11:00');
    await run(['plan']);
    const fromMs = Date.parse('2026-07-01T15:00:00Z');
    const starts = runsOn(stored().plan, 'green-2').map((one) => one.startMs);
    expect(starts.length).toBeGreaterThan(0);
    expect(Math.min(...starts)).toBeGreaterThanOrEqual(fromMs);
    const end = await run(['keep-off', '--end', '1', ...KEEPER], NOW_MS + 0.5 * HOUR_MS);
    expect(end.out).toContain('over since 05:40, the label keeps water off until 09:40');
    const again = await run(['keep-off', '--end', '1', ...KEEPER], NOW_MS + HOUR_MS);
    expect(again).toMatchObject({ code: 2, err: expect.stringContaining('is over already') });
    const taken = ['keep-off', '--end', '1', '--by-mistake', ...KEEPER];
    expect((await run(taken, NOW_MS + HOUR_MS)).code).toBe(0);
    expect((await run(['keep-off'], NOW_MS + HOUR_MS)).out).toContain('No keep-off stands.');
  });

  it('ends by itself at the time given, and covers all beds where it is told to', async () => {
    const all = ['--bed', 'all', '--why', 'visitors', ...KEEPER, '--until', '09:00'];
    expect((await run(['keep-off', ...all])).out).toContain('on all beds by A. Keeper');
    await run(['plan']);
    const starts = stored().plan.runs.map((one) => one.startMs);
    expect(starts.length).toBeGreaterThan(0);
    expect(Math.min(...starts)).toBeGreaterThanOrEqual(Date.parse('2026-07-01T13:00:00Z'));
    expect((await run(['keep-off'], NOW_MS + 5 * HOUR_MS)).out).toContain('No keep-off stands.');
  });

  it.each([
    [['--bed', 'green-99', '--why', 'mow', ...KEEPER], 'no such bed (got green-99)'],
    [['--why', 'mow', ...KEEPER], '--bed: is missing'],
    [['--bed', 'green-1', ...KEEPER], '--why: is missing; say what for: mow, roll'],
    [['--bed', 'green-1', '--why', 'mow'], '--who: is missing'],
    [['--bed', 'green-1', '--why', 'mow', ...KEEPER, '--until', '04:00'], '--until: has passed'],
    [['--bed', 'green-1', '--why', 'mow', ...KEEPER, '--until', 'noon'], '--until: no time'],
    [['--bed', 'green-1', '--why', 'spray', ...KEEPER, '--label-interval', '2'], 'has no unit'],
    [['--end', '7', ...KEEPER], 'no such keep-off (got 7)'],
    [['--end', '1'], '--who: is missing'],
    [['--by-mistake'], 'goes with --end'],
  ])('refuses %j', async (args, text) => {
    const said = await run(['keep-off', ...args]);
    expect(said).toMatchObject({ code: 2, err: expect.stringContaining(text) });
    expect((await run(['keep-off'])).out).toContain('No keep-off stands.');
  });
});
