import { afterEach, describe, expect, it, vi } from 'vitest';
import type { Answer, StopNow } from '../../../adapters/contract.ts';
import { type UnwrittenHolds, writeHolds } from '../../../daemon/delivery/delivery-memory.ts';
import { stopDispatcher } from '../../../daemon/delivery/stop-now.ts';
import { openHolds } from '../../../daemon/site/store/holds-and-keep-offs.ts';
import { openOrders } from '../../../daemon/site/store/outbox.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_ZONE } from '../../example-plan.ts';
import { scratchDatabase } from '../../scratch-site.ts';

afterEach(() => vi.useRealTimers());

const asked = {
  beds: ['bed-2'],
  who: 'B. Mower',
  why: 'leak',
  untilMs: 9,
  atMs: EXAMPLE_MADE_AT_MS,
};
const accepted: Answer = { kind: 'accepted', detail: 'stopped' };

function target(name: string, answer: () => Promise<Answer>) {
  const heard: StopNow[] = [];
  const stopNow = (stop: StopNow) => {
    heard.push(stop);
    return answer();
  };
  return { name, stopNow, heard };
}

describe('stopDesk', () => {
  it('tells every output the same at once, and what each has made of it', async () => {
    const targets = [
      target('file', async () => accepted),
      target('radio', () => Promise.reject(new Error('no line'))),
      target('panel', () => Promise.reject('gone')),
    ];
    const { stopNo, stoppedAt } = stopDispatcher(() => targets).stop(asked);
    expect(stopNo).toBe(EXAMPLE_MADE_AT_MS);
    const { untilMs: _, ...stop } = asked;
    for (const { heard } of targets) expect(heard).toEqual([{ ...stop, stopNo }]);
    expect(await stoppedAt).toEqual([
      { output: 'file', answer: accepted },
      { output: 'radio', answer: { kind: 'unknown', detail: 'no line' } },
      { output: 'panel', answer: { kind: 'unknown', detail: 'gone' } },
    ]);
  });

  it('numbers stops so that they grow, over a clock that is set back as well', () => {
    const desk = stopDispatcher(() => []);
    const at = (atMs: number) => desk.stop({ ...asked, atMs }).stopNo;
    expect([at(1_000), at(1_000), at(500), at(5_000)]).toEqual([1_000, 1_001, 1_002, 5_000]);
  });

  it('waits two and a third of a second for an output that hangs, and for none of the others', async () => {
    vi.useFakeTimers();
    const hangs = target('radio', () => new Promise(() => undefined));
    const { stoppedAt } = stopDispatcher(() => [hangs, target('file', async () => accepted)]).stop(
      asked,
    );
    let told: unknown = null;
    void stoppedAt.then((all) => {
      told = all;
    });
    await vi.advanceTimersByTimeAsync(2_299);
    expect(told).toBeNull();
    await vi.advanceTimersByTimeAsync(1);
    expect(told).toEqual([
      { output: 'radio', answer: { kind: 'unknown', detail: 'no answer in 2.3 s' } },
      { output: 'file', answer: accepted },
    ]);
  });

  it('asks for the outputs anew at each stop', async () => {
    let targets = [target('file', async () => accepted)];
    const desk = stopDispatcher(() => targets);
    await desk.stop(asked).stoppedAt;
    targets = [target('moved', async () => accepted)];
    expect(await desk.stop(asked).stoppedAt).toMatchObject([{ output: 'moved' }]);
  });
});

describe('writeHolds', () => {
  const clock = siteClock(EXAMPLE_ZONE);

  it('makes holds of all that waits, oldest first, and says so of each', () => {
    const db = scratchDatabase();
    const written: number[] = [];
    const waiting: UnwrittenHolds = [
      { ...asked, stopNo: 1, onWritten: ({ holdId }) => void written.push(holdId) },
      { ...asked, stopNo: 2, who: 'C. Other', beds: 'all', untilMs: null },
    ];
    writeHolds(waiting, { db, clock, outputs: ['file'] });
    expect(waiting).toEqual([]);
    expect(written).toEqual([1]);
    expect(openHolds(db)).toMatchObject([
      { holdId: 1, who: 'B. Mower', why: 'leak', beds: ['bed-2'], untilMs: 9, atMs: asked.atMs },
      { holdId: 2, who: 'C. Other', beds: 'all', untilMs: null, atMs: asked.atMs },
    ]);
    expect(openOrders(db).map(({ output }) => output)).toEqual(['file', 'file']);
  });

  it('keeps what the store refuses, with all that comes after it', () => {
    const db = scratchDatabase();
    const waiting: UnwrittenHolds = [
      { ...asked, stopNo: 1 },
      { ...asked, stopNo: 2 },
    ];
    db.pragma('query_only = ON');
    expect(() => writeHolds(waiting, { db, clock, outputs: [] })).toThrow(/readonly/);
    expect(waiting.map(({ stopNo }) => stopNo)).toEqual([1, 2]);
  });
});
