import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { dueRuns, type OpenStation, type TimedRun } from '../../../adapters/outputs/due-runs.ts';
import { compareClocks } from '../../../adapters/outputs/timers.ts';

const run = (stationId: string, startS: number, runS = 240): TimedRun => ({
  runId: `${stationId}@${startS}`,
  bedId: `bed of ${stationId}`,
  stationId,
  startMs: startS * 1000,
  endMs: (startS + runS) * 1000,
});
const opened = (stationId: string, untilS: number): OpenStation => ({
  stationId,
  bedId: `bed of ${stationId}`,
  runId: `${stationId}@before`,
  untilMs: untilS * 1000,
});
const at = (nowS: number, change: Partial<Parameters<typeof dueRuns>[0]> = {}) =>
  dueRuns({
    standing: [run('a', 100), run('b', 100), run('c', 110), run('a', 500)],
    closed: new Set(),
    open: [],
    nowMs: nowS * 1000,
    notBeforeMs: Number.NEGATIVE_INFINITY,
    toleranceMs: 20_000,
    mostAtOnce: 3,
    ...change,
  });

describe('dueRuns', () => {
  it.each([
    ['nothing early', 99.999, {}, [], [], 100],
    ['both at their start', 100, {}, ['a@100', 'b@100'], [], 110],
    ['within the tolerance', 120, {}, ['a@100', 'b@100', 'c@110'], [], 500],
    ['no longer past it', 120.001, {}, ['c@110'], ['a@100', 'b@100'], 500],
    ['nothing of long ago', 400, {}, [], ['a@100', 'b@100', 'c@110'], 500],
    ['not what was sent', 101, { closed: new Set(['a@100']) }, ['b@100'], [], 110],
    ['no more than allowed', 112, { mostAtOnce: 2 }, ['a@100', 'b@100'], [], 500],
    ['none where all are open', 101, { mostAtOnce: 1, open: [opened('x', 300)] }, [], [], 110],
    ['no station that is open', 101, { open: [opened('a', 300)] }, ['b@100'], [], 110],
    ['one that has just shut', 101, { open: [opened('a', 101)] }, ['a@100', 'b@100'], [], 110],
    [
      'nothing that was jumped over',
      112,
      { notBeforeMs: 105_000 },
      ['c@110'],
      ['a@100', 'b@100'],
      500,
    ],
    [
      'nothing at the end of a day',
      900,
      { closed: new Set(['a@100', 'b@100', 'c@110', 'a@500']) },
      [],
      [],
      null,
    ],
  ] as const)('sends %s', (_, nowS, change, send, missed, nextS) => {
    const due = at(nowS, change);
    expect(due.send.map(({ runId }) => runId)).toEqual(send);
    expect(due.missed.map((one) => one.run.runId)).toEqual(missed);
    expect(due.nextMs).toBe(nextS === null ? null : nextS * 1000);
  });

  it('calls a run missed that is over before it is late', () => {
    const due = at(106, { standing: [run('a', 100, 5)] });
    expect(due.missed).toEqual([{ run: run('a', 100, 5), why: 'it would start 6 s late' }]);
  });

  it('keeps its promises over any walk of the clock, forward, back and standing still', () => {
    const aRun = fc.record({
      station: fc.constantFrom('a', 'b', 'c', 'd', 'e'),
      startS: fc.integer({ min: 0, max: 600 }),
      runS: fc.integer({ min: 1, max: 200 }),
    });
    const steps = fc.array(
      fc.record({
        timeS: fc.nat(90),
        jumpS: fc.oneof(fc.constant(0), fc.integer({ min: -300, max: 300 })),
      }),
      { maxLength: 60 },
    );
    const mostAtOnce = fc.integer({ min: 1, max: 4 });
    fc.assert(
      fc.property(fc.array(aRun, { maxLength: 30 }), steps, mostAtOnce, (given, walk, most) => {
        const standing = given.map(({ station, startS, runS }) => run(station, startS, runS));
        const closed = new Set<string>();
        let openMono: OpenStation[] = [];
        let time = compareClocks(null, { nowMs: 0, monoMs: 0 });
        for (const { timeS, jumpS } of walk) {
          time = compareClocks(time, {
            nowMs: time.nowMs + (timeS + jumpS) * 1000,
            monoMs: time.monoMs + timeS * 1000,
          });
          const { nowMs, monoMs, notBeforeMs } = time;
          openMono = openMono.filter(({ untilMs }) => untilMs > monoMs);
          const open = openMono.map((one) => ({ ...one, untilMs: nowMs + one.untilMs - monoMs }));
          const due = dueRuns({
            standing,
            closed,
            open,
            nowMs,
            notBeforeMs,
            toleranceMs: 20_000,
            mostAtOnce: most,
          });
          for (const { runId, stationId, bedId, startMs, endMs } of due.send) {
            expect(closed.has(runId)).toBe(false);
            expect(startMs).toBeLessThanOrEqual(nowMs);
            expect(nowMs - startMs).toBeLessThanOrEqual(20_000);
            expect(openMono.some((one) => one.stationId === stationId)).toBe(false);
            // What was jumped over by more than a drift is never made up for.
            if (jumpS > 2) expect(startMs).toBe(nowMs);
            closed.add(runId);
            openMono.push({ runId, stationId, bedId, untilMs: monoMs + endMs - nowMs });
          }
          expect(openMono.length).toBeLessThanOrEqual(most);
          for (const { run: one } of due.missed) {
            expect(closed.has(one.runId)).toBe(false);
            closed.add(one.runId);
          }
          if (due.nextMs !== null) expect(due.nextMs).toBeGreaterThan(nowMs);
        }
      }),
      { seed: 20261125, numRuns: 400 },
    );
  });
});

describe('lookAgain', () => {
  const first = compareClocks(null, { nowMs: 1_000_000, monoMs: 500 });
  it.each([
    ['no jump', 1_001_000, 1_500, 0, Number.NEGATIVE_INFINITY],
    ['a drift of a second', 1_002_000, 1_500, 0, Number.NEGATIVE_INFINITY],
    ['an hour forward', 4_601_000, 1_500, 3_600_000, 4_601_000],
    ['an hour back', -2_599_000, 1_500, -3_600_000, Number.NEGATIVE_INFINITY],
  ])('sees %s', (_, nowMs, monoMs, jumpMs, notBeforeMs) => {
    expect(compareClocks(first, { nowMs, monoMs })).toEqual({ nowMs, monoMs, jumpMs, notBeforeMs });
  });

  it('does not bar the hour to come when a clock that was an hour ahead is put right', () => {
    const ahead = compareClocks(first, { nowMs: 4_601_000, monoMs: 1_500 });
    const right = compareClocks(ahead, { nowMs: 1_002_000, monoMs: 2_500 });
    expect(right.notBeforeMs).toBe(1_002_000);
  });
});
