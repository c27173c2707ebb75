import type { MessagePort } from 'node:worker_threads';
import { describe, expect, it, vi } from 'vitest';
import type { Answer, FieldReport, Found } from '../../../adapters/contract.ts';
import {
  ACCEPTED,
  ENDED,
  FakeThread,
  facts,
  scene,
  time,
  useFakeThreads,
  WELL,
} from './threaded-output-rig.ts';

useFakeThreads();

describe('an output in a thread', () => {
  it('begins none before it is asked, and says that it is not started', () => {
    const { output } = scene();
    expect(output.name).toBe('file');
    expect(FakeThread.all).toEqual([]);
    expect(output.health()).toEqual({ ok: false, detail: 'the output is not started' });
    expect(output.keepsPastOrders).toBe(false);
  });

  it('begins one at its start, which keeps no process from ending', async () => {
    const { output, last, start } = scene();
    await start();
    const { entry, options, isUnref } = last();
    expect(entry.href).toMatch(/\/output-thread\.ts$/);
    expect(options).toMatchObject({ workerData: facts, name: 'output file' });
    expect(options.transferList).toEqual([options.workerData.memory.port]);
    expect(options.workerData.memory.flag.byteLength).toBe(4);
    expect(isUnref).toBe(true);
    expect(output.health()).toEqual(WELL);
    expect(last().asks.map(({ ask }) => ask)).toEqual([{ what: 'start' }]);
  });

  it.each<[string, (output: ReturnType<typeof scene>['output']) => Promise<Answer>, object]>([
    [
      'delivers',
      (output) => output.deliver('o-1', { digest: 'd' } as never),
      { what: 'deliver', orderId: 'o-1', confirmed: { digest: 'd' } },
    ],
    [
      'withdraws',
      (output) => output.withdraw('o-2', { beds: 'all' } as never),
      { what: 'withdraw', orderId: 'o-2', withdrawal: { beds: 'all' } },
    ],
    [
      'stops',
      (output) => output.stopNow({ stopNo: 1 } as never),
      { what: 'stopNow', asked: { stopNo: 1 } },
    ],
    [
      'tells news',
      (output) => output.tell?.({ newsId: 'n' } as never) ?? Promise.reject(),
      { what: 'tell', news: { newsId: 'n' } },
    ],
  ])('%s through it', async (_, act, ask) => {
    const { output, last, start } = scene();
    await start();
    const done = act(output);
    expect(last().asks.at(-1)?.ask).toEqual(ask);
    last().answers(ACCEPTED);
    expect(await done).toEqual(ACCEPTED);
    const unanswered = act(output);
    last().answers(null);
    expect(await unanswered).toEqual(ENDED);
  });

  it('gives each answer to whoever asked for it, a fault as unknown', async () => {
    const { output, last, start } = scene();
    await start();
    const first = output.deliver('o-1', {} as never);
    const second = output.deliver('o-2', {} as never);
    const [, one, two] = last().asks;
    expect(two?.id).toBeGreaterThan(one?.id ?? 0);
    const health = { ok: false, detail: 'ill' };
    last().says({ kind: 'answer', id: two?.id ?? 0, value: ACCEPTED, health: WELL });
    last().says({ kind: 'fault', id: one?.id ?? 0, message: 'no such thing', health });
    expect(await second).toEqual(ACCEPTED);
    expect(await first).toEqual({ kind: 'unknown', detail: 'no such thing' });
    expect(output.health()).toEqual(health);
    // An answer that nobody waits for any more.
    last().says({ kind: 'answer', id: 99, value: ACCEPTED, health: WELL });
    expect(output.health()).toEqual(WELL);
  });

  it.each<[string, Found | Answer | null, Found]>([
    ['what it found', { kind: 'nothing', detail: 'none' }, { kind: 'nothing', detail: 'none' }],
    ['a fault', { kind: 'unknown', detail: 'broke' }, { kind: 'unseen', detail: 'broke' }],
    ['nothing', null, { kind: 'unseen', detail: ENDED.detail }],
  ])('finds through it: %s', async (_, value, found) => {
    const { output, last, start } = scene();
    await start();
    const looked = output.find(null);
    expect(last().asks.at(-1)?.ask).toEqual({ what: 'find', wanted: null });
    last().answers(value);
    expect(await looked).toEqual(found);
  });

  it('knows what its thread has said of itself', async () => {
    const { output, last, start, reports, logged } = scene();
    await start();
    const health = { ok: false, detail: 'broker away' };
    last().says({ kind: 'health', health, canTell: false, keepsPastOrders: true });
    expect(output.health()).toEqual(health);
    expect(output.keepsPastOrders).toBe(true);
    expect(await output.tell?.({} as never)).toEqual({
      kind: 'accepted',
      detail: 'this output tells no news',
    });
    expect(last().asks).toHaveLength(1);
    const report = { kind: 'ran' } as FieldReport;
    last().says({ kind: 'report', report });
    expect(reports).toEqual([report]);
    for (const level of ['info', 'warn', 'error'] as const) {
      last().says({ kind: 'log', level, fields: { a: 1 }, message: `a ${level}` });
    }
    expect(logged).toEqual(['info a info {"a":1}', 'warn a warn {"a":1}', 'error a error {"a":1}']);
    last().emit('error', new Error('out of memory'));
    expect(logged.at(-1)).toBe(
      'error file: its thread failed: Error: out of memory {"output":"file"}',
    );
  });

  it('says that it hangs when nothing is heard for five seconds, whatever is heard then', async () => {
    const { output, last, start } = scene();
    await start();
    time.nowMs += 4_999;
    expect(output.health()).toEqual(WELL);
    time.nowMs += 1;
    expect(output.health()).toEqual({
      ok: false,
      detail: 'does not answer for 5 s: it hangs, most likely in the disk',
    });
    time.nowMs += 60_000;
    expect(output.health().detail).toContain('for 65 s');
    last().says({ kind: 'log', level: 'info', fields: {}, message: '' });
    expect(output.health()).toEqual(WELL);
  });

  it('says that it hangs when it was begun and nothing was heard at all', () => {
    const { output } = scene();
    void output.start();
    time.nowMs += 4_999;
    expect(output.health().detail).toBe('the output is not started');
    time.nowMs += 1;
    expect(output.health().detail).toContain('does not answer for 5 s');
  });

  it('passes on what the store knows, to a thread alone', async () => {
    const { output, last, start } = scene();
    output.storeKnows(3);
    expect(FakeThread.all).toEqual([]);
    await start();
    output.storeKnows(4);
    expect(last().heard.at(-1)?.message).toEqual({ kind: 'storeKnows', stopNo: 4 });
  });

  it('hands ports over when there is a thread, each once', async () => {
    const { output, last, start } = scene();
    const early = { name: 'early' } as unknown as MessagePort;
    const late = { name: 'late' } as unknown as MessagePort;
    output.listenOn(early);
    await start();
    output.listenOn(late);
    const ports = () => last().heard.filter(({ message }) => message.kind === 'stopPort');
    expect(ports()).toEqual([
      { message: { kind: 'stopPort', port: early }, transfer: [early] },
      { message: { kind: 'stopPort', port: late }, transfer: [late] },
    ]);
    last().emit('exit');
    await vi.advanceTimersByTimeAsync(1_000);
    expect(ports()).toEqual([]);
  });
});

describe('a thread that ends', () => {
  it('answers all that was asked, and is begun again after a second', async () => {
    const { output, last, start } = scene();
    const begunAgain = vi.fn();
    output.onBegunAgain = begunAgain;
    await start();
    const asked = [output.deliver('o-1', {} as never), output.find(null)];
    last().emit('exit');
    expect(await Promise.all(asked)).toEqual([ENDED, { kind: 'unseen', detail: ENDED.detail }]);
    expect(output.health()).toEqual({ ok: false, detail: ENDED.detail });
    await vi.advanceTimersByTimeAsync(999);
    expect(FakeThread.all).toHaveLength(1);
    await vi.advanceTimersByTimeAsync(1);
    expect(FakeThread.all).toHaveLength(2);
    expect(last().asks.map(({ ask }) => ask)).toEqual([{ what: 'start' }]);
    expect(begunAgain).toHaveBeenCalledTimes(1);
    last().answers(null);
    expect(output.health()).toEqual(WELL);
  });

  it('is begun once, where something was asked meanwhile', async () => {
    const { output, start } = scene();
    await start();
    FakeThread.all[0]?.emit('exit');
    void output.deliver('o-1', {} as never);
    expect(FakeThread.all).toHaveLength(2);
    await vi.advanceTimersByTimeAsync(5_000);
    expect(FakeThread.all).toHaveLength(2);
    // The end of the one before is no news any more.
    FakeThread.all[0]?.emit('exit');
    expect(output.health().detail).toBe(ENDED.detail);
    await vi.advanceTimersByTimeAsync(5_000);
    expect(FakeThread.all).toHaveLength(2);
  });

  it('needs nobody who wants to hear of it', async () => {
    const { start } = scene();
    await start();
    FakeThread.all[0]?.emit('exit');
    await vi.advanceTimersByTimeAsync(1_000);
    expect(FakeThread.all).toHaveLength(2);
  });

  it('stays ended where the output was not started, or was stopped meanwhile', async () => {
    const idle = scene();
    void idle.output.find(null);
    idle.last().emit('exit');
    expect(idle.output.health().detail).toBe('the output is not started');
    await vi.advanceTimersByTimeAsync(5_000);
    expect(FakeThread.all).toHaveLength(1);
    const stopped = scene();
    await stopped.start();
    stopped.last().emit('exit');
    await stopped.output.stop();
    await vi.advanceTimersByTimeAsync(5_000);
    expect(FakeThread.all).toHaveLength(2);
  });
});
