import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import type { DayPlan } from '../../../../calc/schedule/day-plan.ts';
import { type Db, openDatabase } from '../../../../daemon/site/store/database.ts';
import { dryingEvents, everyLook } from '../../../../daemon/site/store/looks.ts';
import { newestPlan } from '../../../../daemon/site/store/plans.ts';
import { toldOf } from '../../../reader.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat, type Said } from '../../command-line.ts';

/** 05:10 at the demo's site. */
const MORNING_MS = Date.parse('2026-07-01T09:10:00Z');
const HOUR_MS = 3_600_000;
/** A person looks, logs it, and plans a while later. */
const PLANNED_LATER_MS = 600_000;
const KEEPER = ['--who', 'A. Keeper'];

let cwd: string;
let run: (args: string[], nowMs?: number) => Promise<Said>;
beforeEach(() => {
  cwd = scratchFolder();
  run = (args, nowMs = MORNING_MS) => dewbeat(args, { cwd, nowMs });
});

function inStore<T>(read: (db: Db) => T): T {
  const db = openDatabase(join(cwd, 'dewbeat-data'));
  try {
    return read(db);
  } finally {
    db.close();
  }
}

function plan(): DayPlan {
  const stored = inStore(newestPlan);
  if (stored === null) throw new Error('there is no plan');
  return stored.plan;
}

function storeNow(bedId = 'green-1'): number {
  return plan().beds.find((bed) => bed.bedId === bedId)?.storeNowMm ?? Number.NaN;
}

const look = (nowMs: number, ...args: string[]) =>
  run(['look', '--bed', 'green-1', ...args, ...KEEPER], nowMs);

describe('dewbeat look', () => {
  it('lists nothing at first, and asks for what is missing', async () => {
    expect((await run(['look'])).out).toBe('No look has been logged.');
    expect((await look(MORNING_MS)).err).toContain('nothing was seen');
    expect((await run(['look', '--bed', 'green-1', '--saw', 'dry'])).err).toContain('--who');
    expect((await look(MORNING_MS, '--probe', '18%')).err).toContain('--probe-depth');
    const late = await look(MORNING_MS, '--saw', 'dry', '--at', '2026-06-29T09:00:00Z');
    expect(late).toMatchObject({
      code: 2,
      err: expect.stringContaining('within the last 24 hours'),
    });
  });

  it('sets the store right at once, counts a little for its sand, and can be taken back', async () => {
    const planned = await run(['plan']);
    expect(planned.out).toMatch(/^Worth a look: Green \d at about \d\d:[024]0/m);
    const laterMs = MORNING_MS + 3 * HOUR_MS;
    const saw = ['--saw', 'dry', '--cover', '10%', '--note', 'dry wind'];
    const said = await run(['look', '--bed', 'green-2', ...saw, ...KEEPER], laterMs);
    expect(said).toMatchObject({ code: 0, err: '' });
    expect(said.out).toContain('Look 1, Green 2 at 08:10: dry, cover 10 %, "dry wind".');
    expect(said.out).toMatch(/Expected then: (dry|\d+ %)/);
    expect(said.out).toMatch(/Time to dry: .* before, .* after\./);
    await run(['plan'], laterMs + PLANNED_LATER_MS);
    expect(toldOf(plan(), 'looks').join('\n')).toContain('Green 2 rests on 1 look');
    const seen = storeNow('green-2');
    const undone = await run(['look', '--undo', '1', ...KEEPER], laterMs + 2 * PLANNED_LATER_MS);
    expect(undone.out).toContain('Look 1 taken back by A. Keeper.');
    await run(['plan'], laterMs + 2 * PLANNED_LATER_MS);
    expect(storeNow('green-2')).not.toBeCloseTo(seen, 3);
    expect(plan().warnings.map((one) => one.code)).not.toContain('looks');
    expect((await run(['look', '--undo', '1', ...KEEPER])).err).toContain('taken back already');
    expect((await run(['look', '--undo', '9', ...KEEPER])).err).toContain('no such look');
    expect((await run(['look'])).out).toContain('taken back by A. Keeper');
  });

  it('sets the store alone of a bed whose store a person stated', async () => {
    await run(['plan']);
    const laterMs = MORNING_MS + 1.5 * HOUR_MS;
    const said = await look(laterMs, '--saw', 'dark');
    expect(said.out).toMatch(/Store: .* before, .* after\./);
    expect(said.out).toContain('teach nothing more');
    expect(said.out).not.toContain('now counts as');
    await run(['plan'], laterMs + PLANNED_LATER_MS);
    const texts = toldOf(plan(), 'looks');
    expect(texts.filter((text) => text.startsWith('Green 1 rests on 1 look. '))).toHaveLength(1);
    const seen = storeNow();
    await run(['look', '--undo', '1', ...KEEPER], laterMs + 2 * PLANNED_LATER_MS);
    await run(['plan'], laterMs + 2 * PLANNED_LATER_MS);
    expect(storeNow()).toBeLessThan(seen);
  });

  it('keeps a dry look as a drying event, traceable to later looks at the cover', async () => {
    await run(['plan']);
    const noonMs = MORNING_MS + 7 * HOUR_MS;
    const said = await look(noonMs, '--saw', 'dry');
    expect(said.out).toContain('after');
    await run(['plan'], noonMs);
    expect(storeNow()).toBeLessThanOrEqual(0.01);
    await look(noonMs + HOUR_MS, '--cover', '35%');
    expect((await run(['stage', '--bed', 'green-1'], noonMs + HOUR_MS)).out).toContain(
      'look: Looks have found 35 % of it green: see whether the whole bed is ready for emergence.',
    );
    const asked = { fromMs: MORNING_MS, toMs: noonMs + 2 * HOUR_MS };
    const events = inStore((db) => dryingEvents(db, asked));
    expect(events).toMatchObject([
      { bedId: 'green-1', who: 'A. Keeper', coverSince: [{ lookId: 2, coverFraction: 0.35 }] },
    ]);
    await run(['look', '--undo', '1', ...KEEPER], noonMs + HOUR_MS);
    expect(inStore((db) => dryingEvents(db, asked))).toEqual([]);
  });

  it('counts a look that is logged late from when it was seen', async () => {
    await run(['plan']);
    const noonMs = MORNING_MS + 7 * HOUR_MS;
    await run(['plan'], noonMs);
    const before = storeNow();
    await look(noonMs + 60_000, '--saw', 'puddle', '--at', '12:00');
    await run(['plan'], noonMs + 120_000);
    expect(storeNow()).toBeGreaterThan(before);
  });

  it('keeps a look without a plan to reckon from, a probe reading and a photo', async () => {
    writeFileSync(join(cwd, 'bed.jpg'), 'an invented photo');
    const probe = ['--probe', '12%', '--probe-depth', '10 mm', '--photo', 'bed.jpg'];
    const said = await look(MORNING_MS, '--saw', 'dark', ...probe);
    expect(said.out).toContain('Kept, but it teaches nothing: no plan to reckon from.');
    expect(said.out).toContain('probe 12 % at 0.394 in, a photo');
    const [kept] = inStore(everyLook);
    expect(kept?.photo).toMatch(/^[0-9a-f]{32}\.jpg$/);
    expect((await look(MORNING_MS, '--photo', 'none.jpg')).err).toContain('cannot be kept');
  });
});
