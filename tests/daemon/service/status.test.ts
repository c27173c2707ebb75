import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { takeInstanceLock } from '../../../daemon/site/store/running-daemon.ts';
import { scratchFolder } from '../../scratch-site.ts';
import { dewbeat } from '../command-line.ts';

const NOW_MS = Date.parse('2026-07-01T09:10:00Z');

interface Document {
  needs: { code: string }[];
  running: boolean;
  newest_plan: { standing: string; revision: number; digest: string } | null;
  plan_in_force: { revision: number; held_beds: string[] } | null;
  next_run: { bed: string; start: string } | null;
  holds: { who: string }[];
  orders: { output: string; last_answer: string }[];
}

let cwd: string;
let say: (...args: string[]) => ReturnType<typeof dewbeat>;
let status: () => Promise<Document>;
beforeEach(() => {
  cwd = scratchFolder();
  say = (...args) => dewbeat(args, { cwd, nowMs: NOW_MS });
  status = async () => JSON.parse((await say('status', '--format', 'json')).out) as Document;
});

describe('dewbeat status', () => {
  it('follows a day from the store alone: no plan, held, in force, water stopped', async () => {
    expect(await status()).toMatchObject({ running: false, newest_plan: null, next_run: null });
    const early = await say('status');
    expect(early.code).toBe(1);
    expect(early.out).toContain('plan_missing: today has no plan');

    await say('plan');
    const waiting = await status();
    expect(waiting.needs.map(({ code }) => code)).toEqual(['daemon_away', 'plan_held']);
    const { revision, digest } = waiting.newest_plan ?? { revision: 0, digest: '' };
    await say(
      ...['confirm', '--revision', String(revision), '--digest', digest, '--who', 'A. Keeper'],
      ...['--caution', ...CAUTIONS.map((caution) => caution.code)],
    );
    const watered = await status();
    expect(watered).toMatchObject({
      newest_plan: { standing: 'confirmed' },
      plan_in_force: { revision: 1, held_beds: [] },
      orders: [{ output: 'file', last_answer: 'accepted' }],
    });
    expect(Date.parse(watered.next_run?.start ?? '')).toBeGreaterThan(NOW_MS);
    expect((await say('status')).out).toMatch(/next cycle +\d\d:\d\d green-/);

    await say('hold', '--demo', '--who', 'B. Mower', '--why', 'lightning');
    const stopped = await status();
    expect(stopped).toMatchObject({
      newest_plan: { standing: 'stopped' },
      plan_in_force: null,
      next_run: null,
      holds: [{ who: 'B. Mower' }],
    });
    expect((await say('status')).out).toContain(
      'Everything: water stopped by B. Mower (lightning)',
    );
  });

  it('sees a daemon by its lock, and takes no broken status for its word', async () => {
    await say('plan');
    const folder = join(cwd, 'dewbeat-data');
    writeFileSync(join(folder, 'status.json'), '{"format":"dewbeat-st');
    const lock = takeInstanceLock(folder);
    const seen = await status();
    expect(seen.running).toBe(true);
    expect(seen.needs.map(({ code }) => code)).toContain('heartbeat_late');
    lock?.release();
    expect((await status()).running).toBe(false);
  });
});
