import { execFileSync } from 'node:child_process';
import { existsSync, mkdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import * as nodeFiles from 'node:fs/promises';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { Wanted } from '../../../adapters/contract.ts';
import { createFileOutput, fileOutputSchema } from '../../../adapters/outputs/file.ts';
import { createOutput, placeOfOutput } from '../../../adapters/outputs/list.ts';
import { MOST_ORDER_BYTES } from '../../../adapters/outputs/order-document.ts';
import { type FileCalls, syncFileCalls } from '../../../adapters/outputs/replace-files.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';
import { scratchFolder } from '../../scratch-site.ts';
import { confirmedExample, contextForTest, holdExample } from './output-context.ts';

const FILES = ['card.txt', 'runs.csv', 'plan.json'];
const deliver: Wanted = { kind: 'deliver', orderId: 'o-1', confirmed: confirmedExample() };
const withdraw: Wanted = { kind: 'withdraw', orderId: 'o-2', withdrawal: holdExample() };

function made(config: object = {}, calls?: FileCalls) {
  const baseFolder = scratchFolder();
  const test = contextForTest({ baseFolder });
  const parsed = fileOutputSchema.parse({ output: 'file', folder: 'out', ...config });
  const output = createFileOutput(parsed, test.context, calls);
  const path = (name: string) => join(baseFolder, 'out', name);
  return { ...test, output, path, baseFolder, parsed };
}

describe('what is found in the folder', () => {
  it.each([
    ['as other calls', undefined],
    ['in a thread of its own', syncFileCalls()],
  ])('is nothing, then the order that was written, %s', async (_, calls) => {
    const { output } = made({}, calls);
    const nothing = { kind: 'nothing', detail: 'file: out: no order stands there' };
    expect(await output.find(deliver)).toEqual(nothing);
    expect(await output.find(null)).toEqual(nothing);
    await output.deliver('o-1', deliver.confirmed);
    expect(await output.find(deliver)).toEqual({ kind: 'as_wanted' });
    expect(await output.find(withdraw)).toMatchObject({
      kind: 'other',
      detail: 'file: out: order o-1 stands there',
      order: { orderId: 'o-1', runsAhead: 12, stop: null },
    });
    await output.withdraw('o-2', withdraw.withdrawal);
    expect(await output.find(withdraw)).toEqual({ kind: 'as_wanted' });
    expect(await output.find(null)).toMatchObject({
      order: { orderId: 'o-2', runsAhead: 0, stop: { who: 'B. Tester (invented)', beds: 'all' } },
    });
  });

  it.each(FILES)('is another order where %s is not as it was written', async (name) => {
    const { output, path } = made();
    await output.deliver('o-1', deliver.confirmed);
    writeFileSync(path(name), `${readFileSync(path(name), 'utf8')} `);
    expect((await output.find(deliver)).kind).toBe('other');
  });

  it.each(FILES)('is nothing where %s is gone', async (name) => {
    const { output, path } = made();
    await output.deliver('o-1', deliver.confirmed);
    await nodeFiles.rm(path(name));
    expect((await output.find(deliver)).kind).toBe('nothing');
  });

  it('is told by plan.json first, whatever else differs', async () => {
    const { output, path } = made();
    await output.deliver('o-1', deliver.confirmed);
    const [card, csv] = [readFileSync(path('card.txt')), readFileSync(path('runs.csv'))];
    await output.withdraw('o-2', withdraw.withdrawal);
    expect(await output.find(deliver)).toMatchObject({ order: { orderId: 'o-2' } });
    writeFileSync(path('card.txt'), card);
    writeFileSync(path('runs.csv'), csv);
    expect(await output.find(deliver)).toMatchObject({ order: { orderId: 'o-2' } });
    await nodeFiles.rm(path('card.txt'));
    expect(await output.find(deliver)).toMatchObject({ kind: 'other', order: { orderId: 'o-2' } });
  });

  it('is written again under the same id where it does not stand', async () => {
    const { output, path } = made();
    await output.deliver('o-1', deliver.confirmed);
    await nodeFiles.rm(path('plan.json'));
    await output.deliver('o-1', deliver.confirmed);
    expect(existsSync(path('plan.json')), 'taken once, as it is believed to stand').toBe(false);
    await output.find(null);
    await output.deliver('o-1', deliver.confirmed);
    expect(existsSync(path('plan.json')), 'nothing was wanted').toBe(false);
    await output.find(deliver);
    await output.deliver('o-1', deliver.confirmed);
    expect(await output.find(deliver)).toEqual({ kind: 'as_wanted' });
    const before = statSync(path('plan.json')).ino;
    await output.deliver('o-1', deliver.confirmed);
    expect(statSync(path('plan.json')).ino).toBe(before);
  });

  it('is what is past by the clock of the day', async () => {
    const { output, setNow } = made();
    await output.deliver('o-1', deliver.confirmed);
    setNow(EXAMPLE_MADE_AT_MS + 19 * 3_600_000);
    expect(await output.find(null)).toMatchObject({ order: { runsAhead: 0 } });
  });

  it.each([
    ['as other calls', undefined],
    ['in a thread of its own', syncFileCalls()],
  ])('waits for no pipe, %s', async (_, calls) => {
    const { output, path, baseFolder } = made({}, calls);
    mkdirSync(join(baseFolder, 'out'));
    execFileSync('mkfifo', [path('plan.json')]);
    expect((await output.find(deliver)).kind).not.toBe('as_wanted');
  });

  it('is no order where it is larger than any', async () => {
    const { output, path } = made();
    await output.deliver('o-1', deliver.confirmed);
    await nodeFiles.truncate(path('plan.json'), MOST_ORDER_BYTES + 1);
    expect(await output.find(deliver)).toMatchObject({
      kind: 'other',
      detail: 'file: out: something that is no order stands there',
      order: null,
    });
  });

  it('is read up to that, and each file is closed again', async () => {
    let open = 0;
    const read: number[] = [];
    const calls: FileCalls = {
      ...nodeFiles,
      open: (async () => {
        open++;
        return {
          stat: async () => ({ size: MOST_ORDER_BYTES }),
          readFile: async () => {
            read.push(1);
            throw Object.assign(new Error('broken'), { code: 'EIO' });
          },
          close: async () => void open--,
        };
      }) as unknown as FileCalls['open'],
    };
    expect(await made({}, calls).output.find(deliver)).toEqual({
      kind: 'unseen',
      detail: 'file: out: cannot be read back (got EIO)',
    });
    expect([open, read.length]).toEqual([0, 1]);
  });

  it.each([
    [Object.assign(new Error('x'), { code: 'EACCES' }), 'EACCES'],
    [new Error('no code'), 'Error: no code'],
  ])('is not seen where it cannot be opened: %s', async (error, words) => {
    const calls: FileCalls = { ...nodeFiles, open: () => Promise.reject(error) };
    expect(await made({}, calls).output.find(null)).toEqual({
      kind: 'unseen',
      detail: `file: out: cannot be read back (got ${words})`,
    });
  });
});

describe('what is written', () => {
  it.each([
    ['owner', 0o700, 0o600],
    ['group', 0o750, 0o640],
    ['all', 0o755, 0o644],
  ])('may be read by %s', async (readable_by, folder, file) => {
    const { output, path } = made({ readable_by });
    await output.deliver('o-1', deliver.confirmed);
    expect(statSync(path('.')).mode & 0o777).toBe(folder & ~process.umask());
    for (const name of FILES) expect(statSync(path(name)).mode & 0o777).toBe(file);
  });

  it('is told of by the health, and by the log where it was not taken', async () => {
    const { output, logged, setNow } = made();
    expect(output.health()).toEqual({ ok: true, detail: 'nothing written to out yet' });
    expect(await output.deliver('o-1', deliver.confirmed)).toEqual({
      kind: 'accepted',
      detail: 'written to out',
    });
    expect(output.health()).toEqual({ ok: true, detail: 'written to out' });
    expect(logged).toEqual([]);
    setNow(EXAMPLE_MADE_AT_MS + 20 * 3_600_000);
    const { detail } = await output.deliver('o-3', deliver.confirmed);
    expect(output.health()).toEqual({ ok: false, detail });
    expect(logged).toEqual([`${detail} {"orderId":"o-3"}`]);
  });

  it('says nothing of the folder where a hold came first', async () => {
    let letGo = () => {};
    const hangs = new Promise<void>((resolve) => {
      letGo = resolve;
    });
    const { output } = made({}, { ...nodeFiles, mkdir: (async () => hangs) as never });
    const delivering = output.deliver('o-1', deliver.confirmed);
    await new Promise((resolve) => setImmediate(resolve));
    const holding = output.withdraw('o-2', withdraw.withdrawal);
    expect((await delivering).detail).toBe('overtaken by o-2 while under way');
    expect(output.health()).toEqual({ ok: true, detail: 'nothing written to out yet' });
    letGo();
    await holding;
  });

  it('is not vouched for while an older rename hangs on the disk', async () => {
    let isFirst = true;
    const calls: FileCalls = {
      ...nodeFiles,
      rename: (from, to) => {
        if (!isFirst) return nodeFiles.rename(from, to);
        isFirst = false;
        return new Promise(() => undefined);
      },
    };
    const { output } = made({}, calls);
    void output.deliver('o-1', deliver.confirmed);
    while (isFirst) await new Promise((resolve) => setImmediate(resolve));
    const sinceMs = performance.now();
    expect(await output.withdraw('o-2', withdraw.withdrawal)).toEqual({
      kind: 'unknown',
      detail:
        'file: out: written, but an older write hangs on the disk and may come after it; look at the disk',
    });
    expect(performance.now() - sinceMs).toBeGreaterThan(190);
    expect(await output.find(withdraw)).toEqual({ kind: 'as_wanted' });
  });

  it('says on a card who confirmed it, and in the table why each run stands there', async () => {
    const { output, path } = made();
    await output.deliver('o-1', deliver.confirmed);
    expect(readFileSync(path('card.txt'), 'utf8')).toMatch(/confirmed.*A\. Tester \(invented\)/i);
    const [, row = ''] = readFileSync(path('runs.csv'), 'utf8').split('\r\n');
    expect(row).toBe(
      'bed-1,s-1a,2026-07-01T06:15:00-07:00,240,1.050,1.000,1,seedbed reaches its reserve at 06:25',
    );
  });

  it('says on a card what remains and who took the rest out', async () => {
    const { output, path } = made();
    const remaining = confirmedExample({ heldBedIds: ['bed-2'] });
    await output.withdraw('o-2', holdExample({ beds: ['bed-2'], remaining }));
    const card = readFileSync(path('card.txt'), 'utf8');
    expect(card).toContain('B. Tester (invented)');
    expect(card).toContain('visitors on the turf');
    expect(card).toContain('Bed One');
    const csv = readFileSync(path('runs.csv'), 'utf8');
    expect(csv.trim().split('\r\n')).toHaveLength(11);
    expect(csv).not.toContain('bed-2');
  });

  it('is nothing after the stop, and goes on after another start', async () => {
    const { output, path } = made();
    await output.start();
    await output.stop();
    const stopped = { kind: 'unknown', detail: 'the output is stopped' };
    expect(await output.deliver('o-1', deliver.confirmed)).toEqual(stopped);
    expect(await output.withdraw('o-2', withdraw.withdrawal)).toEqual(stopped);
    expect(existsSync(path('plan.json'))).toBe(false);
    await output.start();
    expect((await output.withdraw('o-2', withdraw.withdrawal)).kind).toBe('accepted');
  });

  it('goes to a place that has a name, by the base folder', () => {
    const { parsed } = made();
    const facts = { siteId: 's', baseFolder: '/srv' };
    expect(placeOfOutput(parsed, facts)).toBe('file /srv/out');
    expect(placeOfOutput({ ...parsed, folder: '/abs/../x' }, facts)).toBe('file /x');
  });

  it('is written by either kind of calls', async () => {
    for (const ownThread of [true, false]) {
      const { parsed, context, path } = made();
      const output = await createOutput(parsed, context, { ownThread });
      expect((await output.deliver('o-1', deliver.confirmed)).kind).toBe('accepted');
      expect(existsSync(path('plan.json'))).toBe(true);
    }
  });
});
