import type { MessagePort } from 'node:worker_threads';
import { describe, expect, it, vi } from 'vitest';
import type { RunMemory } from '../../../adapters/contract.ts';
import type { MemoryAnswer, MemoryAsk } from '../../../daemon/delivery/threaded-output.ts';
import { FakeThread, scene, useFakeThreads } from './threaded-output-rig.ts';

useFakeThreads();

describe('the stop of an output in a thread', () => {
  it('asks the thread to stop, ends it, and answers what is still open', async () => {
    const { output, last, start } = scene();
    await start();
    const open = output.deliver('o-1', {} as never);
    const stopping = output.stop();
    expect(last().asks.at(-1)?.ask).toEqual({ what: 'stop' });
    expect(last().isEnded).toBe(false);
    last().answers(null);
    await stopping;
    expect(last().isEnded).toBe(true);
    expect(await open).toEqual({ kind: 'unknown', detail: 'the output is stopped' });
    expect(output.health()).toEqual({ ok: false, detail: 'the output is stopped' });
    await output.stop();
    last().emit('exit');
    expect(output.health().detail).toBe('the output is stopped');
    expect(FakeThread.all).toHaveLength(1);
  });

  it('does not wait longer than two and a half seconds for one that hangs', async () => {
    const { output, last, start } = scene();
    await start();
    let isDone = false;
    void output.stop().then(() => {
      isDone = true;
    });
    await vi.advanceTimersByTimeAsync(2_499);
    expect(isDone).toBe(false);
    await vi.advanceTimersByTimeAsync(1);
    expect(isDone).toBe(true);
    expect(last().isEnded).toBe(true);
  });

  it('does nothing where it was not started', async () => {
    const { output } = scene();
    await output.stop();
    expect(FakeThread.all).toEqual([]);
    expect(output.health().detail).toBe('the output is not started');
  });

  it('forgets ports that it was given for a thread to come', async () => {
    const { output, last, start } = scene();
    await start();
    last().emit('exit');
    output.listenOn({} as MessagePort);
    await output.stop();
    await start();
    expect(last().heard.some(({ message }) => message.kind === 'stopPort')).toBe(true);
    const stopping = output.stop();
    last().answers(null);
    await stopping;
    await start();
    expect(last().heard.some(({ message }) => message.kind === 'stopPort')).toBe(false);
  });
});

describe('the memory of runs across threads', () => {
  async function asks(memory: Partial<RunMemory>, question: object, lateNs = 0n) {
    vi.useRealTimers();
    const { last, start } = scene(memory);
    await start();
    const { port, flag } = last().options.workerData.memory;
    const answers: MemoryAnswer[] = [];
    port.on('message', (answer: MemoryAnswer) => answers.push(answer));
    const untilNs = process.hrtime.bigint() + (lateNs === 0n ? 10_000_000_000n : -lateNs);
    port.postMessage({ id: 7, untilNs, ...question } as MemoryAsk);
    for (let i = 0; i < 40 && answers.length === 0; i++) {
      await new Promise((resolve) => setTimeout(resolve, 5));
    }
    last().emit('exit');
    port.close();
    return { answers, isFlagged: Atomics.load(new Int32Array(flag), 0) === 1 };
  }

  it.each<[string, Partial<RunMemory>, object, unknown]>([
    ['has', { has: (runId) => runId === 's-1@6' }, { what: 'has', runId: 's-1@6' }, true],
    ['has not', { has: (runId) => runId === 's-1@6' }, { what: 'has', runId: 's-1@7' }, false],
    ['add', { add: () => undefined }, { what: 'add', event: { runId: 'x' } }, null],
    ['standing', { standing: () => null }, { what: 'standing' }, null],
  ])('answers %s', async (_, memory, question, value) => {
    const { answers, isFlagged } = await asks(memory, question);
    expect(answers).toEqual([{ id: 7, ok: true, value }]);
    expect(isFlagged).toBe(true);
  });

  it('adds exactly the event', async () => {
    const add = vi.fn();
    await asks({ add }, { what: 'add', event: { runId: 'x' } });
    expect(add.mock.calls).toEqual([[{ runId: 'x' }]]);
  });

  it.each<[string, unknown, string]>([
    ['an error', new Error('locked'), 'locked'],
    ['anything', 'thrown', 'thrown'],
  ])('says what went wrong where it throws %s', async (_, thrown, message) => {
    const has = () => {
      throw thrown;
    };
    const { answers } = await asks({ has }, { what: 'has', runId: 'x' });
    expect(answers).toEqual([{ id: 7, ok: false, message }]);
  });

  it('acts on nothing that nobody waits for any more', async () => {
    const has = vi.fn();
    const { answers, isFlagged } = await asks({ has }, { what: 'has', runId: 'x' }, 1_000_000n);
    expect(answers).toEqual([]);
    expect(has).not.toHaveBeenCalled();
    expect(isFlagged).toBe(false);
  });
});
