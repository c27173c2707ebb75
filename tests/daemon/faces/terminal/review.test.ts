import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { type Db, openDatabase } from '../../../../daemon/site/store/database.ts';
import { openHolds } from '../../../../daemon/site/store/holds-and-keep-offs.ts';
import { newestConfirmation, newestPlan } from '../../../../daemon/site/store/plans.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat } from '../../command-line.ts';
import { type ReviewRig, reviewRig } from './review-rig.ts';

/** 05:10 at the demo's site. */
const NOW_MS = Date.parse('2026-07-01T09:10:00Z');
const KEEPER = ['--who', 'A. Keeper'];
const ENTER = '\r';
const ESCAPE = '\x1b';

let cwd: string;
let nowMs: number;
const review = (args: string[] = KEEPER, size: { width?: number; height?: number } = {}) =>
  reviewRig(args, { cwd, nowMs: () => nowMs, ...size });

function inStore<T>(read: (db: Db) => T): T {
  const db = openDatabase(join(cwd, 'dewbeat-data'));
  try {
    return read(db);
  } finally {
    db.close();
  }
}

beforeEach(async () => {
  cwd = scratchFolder();
  nowMs = NOW_MS;
  await dewbeat(['plan'], { cwd, nowMs });
});

/** Opens the trim of the chosen bed and asks for its preview. */
function trimTo(rig: ReviewRig, percent: number): void {
  rig.send('t');
  rig.send(`${percent}\t`);
  rig.send(`dry at the collar${ENTER}`);
}

describe('the review in the terminal', () => {
  it('keeps a change only after its preview, and confirms exactly the plan that it shows', async () => {
    const rig = review();
    await rig.shows('HELD: not sent');
    trimTo(rig, 130);
    await rig.shows('PREVIEW, nothing is kept yet');
    await rig.shows('before > after');
    expect(inStore(newestPlan)?.plan.revision).toBe(1);
    rig.send('y');
    await rig.shows('Plan 2 is held');
    rig.send('c');
    await rig.shows('3 still to tick');
    rig.send('y');
    await rig.shows('Look at each caution');
    expect(inStore(newestConfirmation)).toBeNull();
    rig.send('123');
    const digest = inStore(newestPlan)?.digest ?? '';
    await rig.shows(`plan 2, digest ${digest.slice(0, 4)} ${digest.slice(4, 8)}`);
    rig.send('y');
    await rig.shows('file: accepted');
    expect(inStore(newestConfirmation)?.stored.digest).toBe(digest);
  });

  it('confirms with its leeway where the person says so, but for a bed that stays as laid', async () => {
    const rig = review();
    await rig.shows('HELD: not sent');
    rig.send('c123');
    await rig.shows('[ ] w  With its leeway; left open, the plan runs as laid.');
    rig.send('w');
    await rig.shows('[x] w');
    await rig.shows('What you have looked at has to hold all day');
    rig.send('b');
    await rig.shows('As laid all the same: Green 1.');
    rig.send('y');
    await rig.shows('Confirmed: plan 1');
    const { leewayBedIds } = inStore(newestConfirmation) ?? {};
    expect(leewayBedIds).toHaveLength(5);
    expect(leewayBedIds).not.toContain('green-1');
  });

  it('takes the ticks back when the plan changes while it is read, and shows what changed', async () => {
    const rig = review();
    await rig.shows('HELD: not sent');
    rig.send('c123');
    await rig.shows('[x] 3');
    await dewbeat(['trim', '--bed', 'green-2', '--percent', '150', '--why', 'dry', ...KEEPER], {
      cwd,
      nowMs,
    });
    rig.send('y');
    await rig.shows('THE PLAN CHANGED WHILE YOU READ IT');
    await rig.shows(/Green 2: \d+ cycles \(were \d+\)/);
    expect(inStore(newestConfirmation)).toBeNull();
    rig.send(ENTER);
    await rig.shows('Confirm plan 2');
    expect(rig.screen()).not.toContain('[x]');
  });

  it('lets two reviewers confirm one plan once, and tells the second who did', async () => {
    const [one, two] = [review(), review(['--who', 'B. Keeper'])];
    for (const rig of [one, two]) {
      await rig.shows('HELD: not sent');
      rig.send('c123');
      await rig.shows('[x] 3');
    }
    one.send('y');
    two.send('y');
    await one.shows('Confirmed: plan 1');
    await two.shows(/confirmed already|CONFIRMED by A\. Keeper/i);
    expect(inStore(newestConfirmation)?.who).toBe('A. Keeper');
  });

  it('stops all water by two keys while a name is typed, and one bed from its page', async () => {
    const rig = review([]);
    await rig.shows('HELD: not sent');
    rig.send('d!');
    await rig.shows('STOP WATER');
    rig.send('a');
    await rig.shows('Water stopped: everything.');
    expect(inStore(openHolds)).toMatchObject([{ beds: 'all', who: 'someone at the terminal' }]);
    rig.send(ESCAPE);
    await rig.shows('WATER STOPPED');
    await rig.shows('Enter open');
    rig.send(ENTER);
    await rig.shows('Escape back');
    rig.send('hb');
    await rig.shows(/Water stopped: green-\d\./);
    expect(inStore(openHolds)).toHaveLength(2);
    rig.send('u');
    await rig.shows('Release water');
    await rig.shows('< all beds >');
  });

  it('stops water while a preview is being worked out', async () => {
    const rig = review();
    await rig.shows('HELD: not sent');
    trimTo(rig, 130);
    rig.send('!a');
    await rig.shows('Water stopped: everything.');
    await rig.shows('before > after');
    expect(inStore(openHolds)).toHaveLength(1);
  });

  it('shows what others do within seconds', async () => {
    const rig = review();
    await rig.shows('plan 1');
    await dewbeat(['stop-water', '--demo', ...KEEPER, '--why', 'leak'], { cwd, nowMs });
    await rig.shows(/^! .*leak.*\n/im);
    await rig.shows('WATER STOPPED');
  });

  it('refuses what cannot be, on the field at fault, and keeps nothing', async () => {
    const rig = review();
    await rig.shows('HELD: not sent');
    trimTo(rig, 900);
    await rig.shows('must be 25 to 300 % (got 900 %)');
    rig.send(`${ESCAPE}`);
    await rig.shows('Enter open');
    rig.send(`w12:99x${ENTER}`);
    await rig.shows(/Depth over the bed: .*\(got 12:99x\)/);
    expect(inStore(newestPlan)?.plan.revision).toBe(1);
  });

  it.each(['q', '\x03'])('leaves in order by %j', async (key) => {
    const rig = review();
    await rig.shows('HELD: not sent');
    rig.send(key);
    await expect(rig.ended).resolves.toEqual({ code: 0, err: '' });
    expect([rig.opened, rig.restored]).toEqual([1, 1]);
  });

  it('puts the terminal back at a signal and at a fault', async () => {
    const asked = review();
    await asked.shows('HELD: not sent');
    asked.stop();
    await expect(asked.ended).resolves.toMatchObject({ code: 0 });
    expect(asked.restored).toBe(1);
    const faulty = review();
    await faulty.shows('HELD: not sent');
    faulty.breaks();
    faulty.send('?');
    await expect(faulty.ended).resolves.toMatchObject({ code: 1 });
    expect(faulty.restored).toBe(1);
  });

  it('draws anew at another size, and nothing when nothing has changed', async () => {
    const rig = review();
    await rig.shows('HELD: not sent');
    rig.resize(60, 20);
    const rows = rig.screen().split('\n');
    expect(rows).toHaveLength(20);
    expect(Math.max(...rows.map((row) => row.length))).toBeLessThanOrEqual(60);
    const writes = rig.written.length;
    rig.send('\x1b[200~c123y\x1b[201~');
    expect(rig.written.length).toBe(writes);
  });

  it('prints the first screen once where there is no terminal', async () => {
    const said = await dewbeat(['review'], { cwd, nowMs });
    expect(said).toMatchObject({ code: 0, err: '' });
    expect(said.out).toContain('HELD: not sent');
    expect(said.out).not.toContain('\x1b');
    expect(said.out.split('\n').at(-1)).not.toBe('');
  });
});
