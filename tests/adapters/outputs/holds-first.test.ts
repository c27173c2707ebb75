import * as files from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { Answer } from '../../../adapters/contract.ts';
import { createFileOutput, fileOutputSchema } from '../../../adapters/outputs/file.ts';
import { holdsFirst } from '../../../adapters/outputs/holds-first.ts';
import type { OrderPayload } from '../../../adapters/outputs/order-document.ts';
import type { FileCalls } from '../../../adapters/outputs/replace-files.ts';
import { confirmedExample, contextForTest, holdExample } from './output-context.ts';

const accepted = (detail: string): Answer => ({ kind: 'accepted', detail });

/** A promise that a test settles when it likes. */
function gate<T>() {
  let open: (value: T) => void = () => undefined;
  const passed = new Promise<T>((resolve) => {
    open = resolve;
  });
  return { passed, open };
}

describe('holdsFirst', () => {
  it('carries out a hold while a delivery never answers, and answers that as unknown', async () => {
    const desk = holdsFirst();
    const seen: boolean[] = [];
    const stuck = gate<Answer>();
    const delivery = desk.deliver('o-1', async (signal) => {
      const answer = await stuck.passed;
      seen.push(signal.aborted);
      return answer;
    });
    await Promise.resolve();
    expect(await desk.withdraw('o-2', async () => accepted('held'))).toEqual(accepted('held'));
    expect(await delivery).toEqual({
      kind: 'unknown',
      detail: 'overtaken by o-2 while under way',
    });
    stuck.open(accepted('late'));
    await desk.close(1000);
    // What completes late was told before that it must take no effect.
    expect(seen).toEqual([true]);
  });

  it('never begins a delivery that waited its turn when the hold came', async () => {
    const desk = holdsFirst();
    let begun = 0;
    void desk.deliver('o-1', () => new Promise(() => undefined));
    const waiting = desk.deliver('o-2', async () => {
      begun++;
      return accepted('never');
    });
    await desk.withdraw('o-3', async () => accepted('held'));
    expect(await waiting).toEqual({
      kind: 'rejected',
      detail: 'overtaken by o-3 before it had begun',
    });
    expect(await desk.deliver('o-2', async () => accepted('again'))).toEqual({
      kind: 'rejected',
      detail: 'overtaken by o-3',
    });
    expect(begun).toBe(0);
  });

  it('lets a fresh delivery begin only when all before it has really ended', async () => {
    const desk = holdsFirst();
    const sequence: string[] = [];
    const stuck = gate<Answer>();
    void desk.deliver('o-1', async () => {
      const answer = await stuck.passed;
      sequence.push('o-1 ended');
      return answer;
    });
    await Promise.resolve();
    await desk.withdraw('o-2', async () => accepted('held'));
    const fresh = desk.deliver('o-3', async () => {
      sequence.push('o-3 begun');
      return accepted('fresh');
    });
    await new Promise((resolve) => setTimeout(resolve, 20));
    expect(sequence).toEqual([]);
    stuck.open(accepted('late'));
    expect(await fresh).toEqual(accepted('fresh'));
    expect(sequence).toEqual(['o-1 ended', 'o-3 begun']);
  });

  it('calls unknown what a stop cut short, so that it is tried again after a start', async () => {
    const desk = holdsFirst();
    const delivery = desk.deliver('o-1', () => new Promise(() => undefined));
    await desk.close(0);
    expect((await delivery).kind).toBe('unknown');
  });
});

describe('a file output on a disk that hangs', () => {
  let folder: string;
  beforeEach(async () => {
    folder = await files.mkdtemp(join(tmpdir(), 'dewbeat-hang-'));
  });
  afterEach(() => files.rm(folder, { recursive: true, force: true }));

  const made = (calls: FileCalls) => {
    const { context } = contextForTest({ baseFolder: folder });
    const config = fileOutputSchema.parse({ output: 'file', folder: '.' });
    return createFileOutput(config, context, calls);
  };
  const order = async () =>
    JSON.parse(await files.readFile(join(folder, 'plan.json'), 'utf8')) as OrderPayload;

  it.each(['card.txt', 'runs.csv', 'plan.json'])(
    'has the hold out within a second while %s of a delivery waits to be opened',
    async (name) => {
      const disk = gate<void>();
      let hangs = true;
      const open = async (...args: Parameters<typeof files.open>) => {
        const mine = hangs && basename(String(args[0])).startsWith(`.${name}`);
        if (mine) await disk.passed;
        return files.open(...args);
      };
      const output = made({ ...files, open: open as typeof files.open });
      const delivery = output.deliver('o-1', confirmedExample());
      await new Promise((resolve) => setTimeout(resolve, 20));
      hangs = false;
      const beforeMs = performance.now();
      expect((await output.withdraw('o-2', holdExample())).kind).toBe('accepted');
      expect(performance.now() - beforeMs).toBeLessThan(1000);
      expect((await delivery).kind).toBe('unknown');
      disk.open();
      await output.stop();
      expect(await order()).toMatchObject({ order_id: 'o-2', runs: [] });
      expect((await files.readdir(folder)).toSorted()).toEqual([
        'card.txt',
        'plan.json',
        'runs.csv',
      ]);
    },
  );

  it('owns up when a rename hangs that may come after the hold, and mends it when asked again', async () => {
    const disk = gate<void>();
    let hangs = true;
    const rename = async (...[from, to]: Parameters<typeof files.rename>) => {
      const hung = hangs && basename(String(to)) === 'plan.json';
      if (hung) {
        hangs = false;
        await disk.passed;
      }
      await files.rename(from, to);
    };
    const output = made({ ...files, rename });
    void output.deliver('o-1', confirmedExample());
    while (hangs) await new Promise((resolve) => setTimeout(resolve, 5));
    const beforeMs = performance.now();
    const answer = await output.withdraw('o-2', holdExample());
    expect(performance.now() - beforeMs).toBeLessThan(1000);
    expect(answer.kind).toBe('unknown');
    expect(answer.detail).toContain('an older write hangs on the disk');
    expect((await order()).order_id).toBe('o-2');
    disk.open();
    while ((await order()).order_id !== 'o-1') {
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
    expect((await output.withdraw('o-2', holdExample())).kind).toBe('accepted');
    expect(await order()).toMatchObject({ order_id: 'o-2', runs: [] });
  });
});
