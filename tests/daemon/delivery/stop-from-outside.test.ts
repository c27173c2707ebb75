import { EventEmitter } from 'node:events';
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { Answer } from '../../../adapters/contract.ts';
import type { KeptSite } from '../../../daemon/delivery/earlier-configs.ts';
import type { StopTask, StopTaskResult } from '../../../daemon/delivery/outside-stop-part.ts';
import type { outsideStop as OutsideStop } from '../../../daemon/delivery/stop-from-outside.ts';
import type { StopOutcome } from '../../../daemon/words/delivery-words.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';

/** Stands where a process would: it notes what it is told to do, and says what the test says. */
class FakeChild extends EventEmitter {
  works: StopTask[] = [];
  ended: string[] = [];
  connected = true;
  sendFault: Error | null = null;
  readonly entry: URL;
  readonly options: object;
  constructor(entry: URL, options: object) {
    super();
    this.entry = entry;
    this.options = options;
  }
  send(work: StopTask, done: (error: Error | null) => void) {
    this.works.push(work);
    done(this.sendFault);
  }
  says(said: StopTaskResult) {
    this.emit('message', said);
  }
  disconnect() {
    this.ended.push('disconnect');
  }
  unref() {
    this.ended.push('unref');
  }
}

let children: FakeChild[] = [];
let outsideStop: typeof OutsideStop;

beforeEach(async () => {
  children = [];
  // As where the program was built: each part has a process of its own.
  vi.doMock('../../../daemon/delivery/thread-entry.ts', async (original) => ({
    ...(await original<object>()),
    isWritten: () => false,
  }));
  vi.doMock('node:child_process', () => ({
    fork: (entry: URL, options: object) => {
      const child = new FakeChild(entry, options);
      children.push(child);
      return child;
    },
  }));
  vi.resetModules();
  ({ outsideStop } = await import('../../../daemon/delivery/stop-from-outside.ts'));
  vi.useFakeTimers();
});
afterEach(() => {
  vi.useRealTimers();
  vi.doUnmock('node:child_process');
  vi.doUnmock('../../../daemon/delivery/thread-entry.ts');
  vi.resetModules();
});

const outputOf = (name: string, folder = '/srv') => ({
  output: { output: 'file', name, folder: 'out' },
  base_folder: folder,
});
const site = {
  site_id: 'example-site',
  zone: 'Europe/Rome',
  units: 'metric',
  stations_at_once: 4,
  outputs: [outputOf('file'), outputOf('radio')],
  left: [outputOf('file', '/srv/before')],
} as unknown as KeptSite;

const asked = { who: 'B. Mower', why: 'leak', untilMs: null, atMs: EXAMPLE_MADE_AT_MS };
const all = { ...asked, beds: 'all' as const };
const bed2 = { ...asked, beds: ['bed-2'] };
const accepted: Answer = { kind: 'accepted', detail: 'taken' };
const plan = { plan: {}, heldBedIds: ['bed-1'] } as never;

function stopping(stop: typeof all | typeof bed2) {
  const outside = outsideStop(site, '/srv/data');
  const [store, file, radio, left] = children;
  if (store === undefined || file === undefined || radio === undefined || left === undefined) {
    throw new Error('a process is missing');
  }
  const state: { outcome: StopOutcome | null } = { outcome: null };
  void outside.stop(stop).then((outcome) => {
    state.outcome = outcome;
  });
  return { outside, state, store, file, radio, left, pass: vi.advanceTimersByTimeAsync };
}

describe('a stop past the daemon', () => {
  it('has a process ready for the store and for each place, before it is asked', () => {
    outsideStop(site, '/srv/data');
    expect(children).toHaveLength(4);
    for (const { entry, options, works } of children) {
      expect(entry.href).toMatch(/\/outside-stop-child\.ts$/);
      expect(options).toEqual({ serialization: 'advanced', stdio: 'ignore' });
      expect(works).toEqual([]);
    }
  });

  it('of everything waits for no store', async () => {
    const { state, store, file, radio, left, pass } = stopping(all);
    await pass(0);
    expect(store.works).toEqual([
      {
        part: 'store',
        stop: all,
        siteId: 'example-site',
        zone: 'Europe/Rome',
        dataFolder: '/srv/data',
        outputs: ['file', 'radio'],
      },
    ]);
    const work = {
      part: 'output',
      stop: all,
      siteId: 'example-site',
      zone: 'Europe/Rome',
      units: 'metric',
      stationsAtOnce: 4,
      orderId: null,
      remaining: null,
    };
    expect(file.works).toEqual([{ ...work, output: site.outputs[0]?.output, baseFolder: '/srv' }]);
    expect(radio.works).toEqual([{ ...work, output: site.outputs[1]?.output, baseFolder: '/srv' }]);
    expect(left.works).toMatchObject([{ baseFolder: '/srv/before' }]);
    for (const child of [file, radio, left]) child.says({ part: 'output', answer: accepted });
    await pass(0);
    store.says({ part: 'store', orderId: 'hold-1-5', remaining: null });
    await pass(0);
    // What the outputs have answered goes into the store; a place that was left is none of them.
    expect(store.works.at(-1)).toEqual({
      part: 'answers',
      orderId: 'hold-1-5',
      answers: [
        { output: 'file', answer: accepted },
        { output: 'radio', answer: accepted },
      ],
    });
    expect(state.outcome).toBeNull();
    store.says({ part: 'answers' });
    await pass(0);
    expect(state.outcome).toEqual({
      beds: 'all',
      stoppedAt: [
        { output: 'file', answer: accepted },
        { output: 'radio', answer: accepted },
        { output: 'file, where it wrote before', answer: accepted },
      ],
      unwritten: null,
      keeper: 'nobody',
    });
  });

  it('of some beds asks the store first what goes on besides, less those beds', async () => {
    const { store, file, pass } = stopping(bed2);
    await pass(699);
    expect(file.works).toEqual([]);
    store.says({ part: 'store', orderId: 'hold-1-5', remaining: plan });
    await pass(0);
    expect(file.works).toMatchObject([
      { orderId: 'hold-1-5', remaining: { heldBedIds: ['bed-1', 'bed-2'] } },
    ]);
  });

  it('of some beds stops with what can be read of a store that cannot be written', async () => {
    const { store, file, pass, state } = stopping(bed2);
    store.says({ part: 'store', orderId: null, why: 'disk full', remaining: plan });
    await pass(0);
    expect(file.works).toMatchObject([
      { orderId: null, remaining: { heldBedIds: ['bed-1', 'bed-2'] } },
    ]);
    await pass(4_000);
    expect(state.outcome).toMatchObject({ beds: ['bed-2'], unwritten: 'disk full' });
    expect(store.works).toHaveLength(1);
  });

  it('of some beds does not wait longer than seven tenths of a second for the store', async () => {
    const { file, pass } = stopping(bed2);
    await pass(699);
    expect(file.works).toEqual([]);
    await pass(1);
    expect(file.works).toMatchObject([{ orderId: null, remaining: null }]);
  });

  it('leaves what hangs behind, and says that nobody answered', async () => {
    const { state, file, pass } = stopping(all);
    await pass(0);
    file.says({ part: 'output', answer: accepted });
    await pass(2_599 + 300);
    expect(state.outcome).toBeNull();
    await pass(1);
    const silent = { kind: 'unknown', detail: 'no answer in 2.6 s' };
    expect(state.outcome?.stoppedAt.map(({ answer }) => answer)).toEqual([
      accepted,
      silent,
      silent,
    ]);
    expect(state.outcome?.unwritten).toBe('it does not answer');
  });

  it('does not wait for a store that hangs once it has the hold', async () => {
    const { state, store, file, radio, left, pass } = stopping(all);
    await pass(0);
    store.says({ part: 'store', orderId: 'hold-1-5', remaining: null });
    for (const child of [file, radio, left]) child.says({ part: 'output', answer: accepted });
    await pass(299);
    expect(state.outcome).toBeNull();
    await pass(1);
    expect(state.outcome?.unwritten).toBeNull();
  });

  it.each<[string, (child: FakeChild) => void]>([
    ['ends', (child) => child.emit('exit', 1)],
    ['fails', (child) => child.emit('error', new Error('no memory'))],
    ['says something else', (child) => child.says({ part: 'answers' })],
  ])('takes a process that %s for no answer, at once', async (_, act) => {
    const { state, store, file, radio, left, pass } = stopping(all);
    await pass(0);
    for (const child of [store, file, radio, left]) act(child);
    await pass(0);
    expect(state.outcome).toMatchObject({
      stoppedAt: [
        { output: 'file', answer: { kind: 'unknown' } },
        { output: 'radio', answer: { kind: 'unknown' } },
        { answer: { kind: 'unknown' } },
      ],
      unwritten: 'it does not answer',
    });
  });

  it('takes a process that hears nothing for no answer', async () => {
    const outside = outsideStop(site, '/srv/data');
    for (const child of children) child.sendFault = new Error('channel closed');
    const stopped = outside.stop(all);
    await vi.advanceTimersByTimeAsync(0);
    expect(await stopped).toMatchObject({ unwritten: 'it does not answer' });
  });

  it('of some beds takes a word of another part for nothing known', async () => {
    const { store, file, pass } = stopping(bed2);
    store.says({ part: 'output', answer: accepted });
    await pass(0);
    expect(file.works).toMatchObject([{ orderId: null, remaining: null }]);
  });

  it('leaves every process, whatever it is doing', () => {
    const outside = outsideStop(site, '/srv/data');
    const [, second] = children;
    if (second !== undefined) second.connected = false;
    outside.leave();
    expect(children.map(({ ended }) => ended)).toEqual([
      ['disconnect', 'unref'],
      ['unref'],
      ['disconnect', 'unref'],
      ['disconnect', 'unref'],
    ]);
  });
});
