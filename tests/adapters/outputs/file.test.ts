import { existsSync } from 'node:fs';
import * as files from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { createFileOutput, fileOutputSchema } from '../../../adapters/outputs/file.ts';
import type { OrderPayload } from '../../../adapters/outputs/order-document.ts';
import type { FileCalls } from '../../../adapters/outputs/replace-files.ts';
import { type PlanDocument, planDigest } from '../../../adapters/plan-document.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';
import { confirmedExample, contextForTest, holdExample } from './output-context.ts';

let folder: string;
beforeEach(async () => {
  folder = await files.mkdtemp(join(tmpdir(), 'dewbeat-file-'));
});
afterEach(() => files.rm(folder, { recursive: true, force: true }));

const made = (config: { folder?: string } = {}, calls?: FileCalls) => {
  const { context, ...rest } = contextForTest({ baseFolder: folder });
  const parsed = fileOutputSchema.parse({ output: 'file', folder: 'out', ...config });
  return { output: createFileOutput(parsed, context, calls), ...rest };
};
const read = (name: string) => files.readFile(join(folder, 'out', name), 'utf8');
const order = async () => JSON.parse(await read('plan.json')) as OrderPayload;

describe('file output', () => {
  it('leaves three files and no temporary one', async () => {
    const { output } = made();
    await output.deliver('o-1', confirmedExample());
    expect((await files.readdir(join(folder, 'out'))).sort()).toEqual([
      'card.txt',
      'plan.json',
      'runs.csv',
    ]);
  });

  it('writes the confirmed document so that the digest can be worked out again', async () => {
    const { output } = made();
    await output.deliver('o-1', confirmedExample({ heldBedIds: ['bed-2'] }));
    const written = await order();
    expect(planDigest(written.plan as PlanDocument)).toBe(written.digest);
    expect(written.held_beds).toEqual(['bed-2']);
    expect(written.runs).toHaveLength(10);
    expect(written).toMatchObject({
      order_id: 'o-1',
      valid_until: '2026-07-02T00:00:00-07:00',
      confirmation: { who: 'A. Tester (invented)', at: '2026-07-01T05:05:00-07:00' },
      withdrawn: null,
    });
  });

  it('leaves out cycles that had begun before the confirm', async () => {
    const { output } = made();
    const atMs = EXAMPLE_MADE_AT_MS + 80 * 60_000;
    await output.deliver('o-1', confirmedExample({ confirmation: { atMs } }));
    const { runs } = await order();
    expect((runs as { start: string }[])[0]?.start).toBe('2026-07-01T06:30:00-07:00');
    expect(await read('runs.csv')).not.toContain('06:15:00');
    expect(await read('card.txt')).toContain('not made up for: 06:15 Bed One');
    expect(await read('card.txt')).not.toMatch(/^06:15/m);
  });

  it('says on the emptied files who withdrew and why', async () => {
    const { output } = made();
    await output.deliver('o-1', confirmedExample());
    await output.withdraw('o-2', holdExample());
    expect(await order()).toMatchObject({
      order_id: 'o-2',
      runs: [],
      plan: null,
      withdrawn: { who: 'B. Tester (invented)', why: 'visitors on the turf', everything: true },
    });
    expect(await read('runs.csv')).toBe(
      'bed,station,start,run_seconds,gross_mm,net_mm,cycle,reason\r\n',
    );
    expect(await read('card.txt')).toContain('NO WATER');
  });

  it('keeps the later of two orders that were asked at once', async () => {
    const { output } = made();
    await Promise.all([
      output.deliver('o-1', confirmedExample()),
      output.withdraw('o-2', holdExample()),
    ]);
    expect((await order()).order_id).toBe('o-2');
  });

  it('refuses a plan whose day is over', async () => {
    const { output, setNow } = made();
    setNow(EXAMPLE_MADE_AT_MS + 20 * 3_600_000);
    expect(await output.deliver('o-1', confirmedExample())).toEqual({
      kind: 'rejected',
      detail:
        'file: the plan is over (got 2026-07-02T00:00:00-07:00 as its end); make a plan for today',
    });
    await expect(read('plan.json')).rejects.toThrow('ENOENT');
  });
});

describe('file output in trouble', () => {
  it('says that a file stands where the folder should be', async () => {
    await files.writeFile(join(folder, 'taken'), '');
    const { output } = made({ folder: 'taken' });
    const answer = await output.deliver('o-1', confirmedExample());
    expect(answer).toEqual({
      kind: 'rejected',
      detail:
        'file: taken: a file stands in the path (got EEXIST); name a folder: ' +
        'the files there are unchanged',
    });
    expect(output.health()).toEqual({ ok: false, detail: answer.detail });
  });

  it.each([
    ['EROFS', 'rejected', 'the folder is read-only'],
    ['EACCES', 'rejected', 'no permission to write'],
    ['EIO', 'unknown', 'the write failed'],
  ])(
    'on %s answers %s, keeps the old files and leaves no temporary one',
    async (code, kind, words) => {
      let failing = false;
      const { output } = made(
        {},
        failingWrites(() => failing, code),
      );
      await output.deliver('o-1', confirmedExample());
      failing = true;
      const answer = await output.withdraw('o-2', holdExample());
      expect(answer.kind).toBe(kind);
      expect(answer.detail).toContain(`${words} (got ${code})`);
      expect(answer.detail).toContain('the files there are unchanged');
      expect((await order()).order_id).toBe('o-1');
      expect(await files.readdir(join(folder, 'out'))).toHaveLength(3);

      failing = false;
      expect((await output.withdraw('o-2', holdExample())).kind).toBe('accepted');
      expect((await order()).order_id).toBe('o-2');
    },
  );

  it('keeps the old plan when a new one finds the disk full', async () => {
    let failing = false;
    const { output } = made(
      {},
      failingWrites(() => failing, 'ENOSPC'),
    );
    await output.deliver('o-1', confirmedExample());
    failing = true;
    const answer = await output.deliver('o-2', confirmedExample());
    expect(answer.kind).toBe('unknown');
    expect(answer.detail).toContain('the disk is full (got ENOSPC)');
    expect(answer.detail).toContain('the files there are unchanged');
    expect((await order()).order_id).toBe('o-1');
  });

  it('gives up the old files on a full disk so that a hold has room', async () => {
    let full = false;
    const { output } = made(
      {},
      failingWrites(() => full && existsSync(join(folder, 'out', 'plan.json')), 'ENOSPC'),
    );
    await output.deliver('o-1', confirmedExample());
    full = true;
    expect((await output.withdraw('o-2', holdExample())).kind).toBe('accepted');
    expect(await order()).toMatchObject({ order_id: 'o-2', runs: [] });
  });

  it('leaves no plan to run when a hold finds no room at all', async () => {
    let full = false;
    const { output } = made(
      {},
      failingWrites(() => full, 'ENOSPC'),
    );
    await output.deliver('o-1', confirmedExample());
    full = true;
    const answer = await output.withdraw('o-2', holdExample());
    expect(answer.kind).toBe('unknown');
    expect(answer.detail).not.toContain('unchanged');
    expect(await files.readdir(join(folder, 'out'))).toEqual([]);
    full = false;
    expect((await output.withdraw('o-2', holdExample())).kind).toBe('accepted');
  });

  it('calls it unknown when the fault comes after the first file was replaced', async () => {
    let renames = 0;
    const calls: FileCalls = {
      ...files,
      rename: async (from, to) => {
        renames += 1;
        if (renames === 2) throw Object.assign(new Error('no more'), { code: 'EACCES' });
        await files.rename(from, to);
      },
    };
    const { output } = made({}, calls);
    const answer = await output.deliver('o-1', confirmedExample());
    expect(answer.kind).toBe('unknown');
    expect(answer.detail).toContain('card.txt already changed');
    expect(await files.readdir(join(folder, 'out'))).toEqual(['card.txt']);
  });

  it('syncs every file before its rename and the folder after the last', async () => {
    const steps: string[] = [];
    const calls: FileCalls = {
      ...files,
      open: (async (...args: Parameters<typeof files.open>) => {
        const handle = await files.open(...args);
        const sync = handle.sync.bind(handle);
        handle.sync = () => {
          steps.push(String(args[0]).endsWith('.tmp') ? 'sync file' : 'sync folder');
          return sync();
        };
        return handle;
      }) as typeof files.open,
      rename: async (from, to) => {
        steps.push(`rename ${String(to).split('/').at(-1)}`);
        await files.rename(from, to);
      },
    };
    await made({}, calls).output.deliver('o-1', confirmedExample());
    expect(steps).toEqual([
      'sync file',
      'sync file',
      'sync file',
      'rename card.txt',
      'rename runs.csv',
      'rename plan.json',
      'sync folder',
    ]);
  });
});

/** File calls whose second write of each order fails while `failing` says so. */
function failingWrites(failing: () => boolean, code: string): FileCalls {
  let opened = 0;
  const open = async (...args: Parameters<typeof files.open>) => {
    const handle = await files.open(...args);
    opened += 1;
    if (failing() && opened % 2 === 0) {
      handle.writeFile = () => Promise.reject(Object.assign(new Error(code), { code }));
    }
    return handle;
  };
  return { ...files, open: open as typeof files.open };
}
