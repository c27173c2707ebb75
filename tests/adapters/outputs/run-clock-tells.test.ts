import { describe, expect, it } from 'vitest';
import type { AdapterLog, Answer } from '../../../adapters/contract.ts';
import { dueRuns, type OpenStation, type TimedRun } from '../../../adapters/outputs/due-runs.ts';
import { runClock, type StandingOrder } from '../../../adapters/outputs/mqtt-runs.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';
import { handTimers } from './hand-timers.ts';
import { confirmedExample, EXAMPLE_CLOCK, forgetfulMemory } from './output-context.ts';

const MIN_MS = 60_000;
const START_MS = EXAMPLE_MADE_AT_MS + 75 * MIN_MS;
const RUN_A = 's-1a@2026-07-01T06:15:00-07:00';
const ORDER: StandingOrder = { orderId: 'o-1', confirmed: confirmedExample() };

/** A clock shortly before the first cycle: two runs of one bed. */
function scene(given: { answer?: () => Promise<Answer>; isReady?: boolean } = {}) {
  const world = handTimers(START_MS - 10_000);
  const memory = forgetfulMemory(() => ORDER);
  const logged: string[] = [];
  const write = (level: string) => (fields: object, text: string) =>
    void logged.push(`${level} ${text} ${JSON.stringify(fields)}`);
  const log: AdapterLog = { info: write('info'), warn: write('warn'), error: write('error') };
  const sent: string[] = [];
  const state = { isReady: given.isReady ?? true, looks: 0 };
  const clock = runClock({
    name: 'valves',
    clock: EXAMPLE_CLOCK,
    log,
    memory,
    timers: world.timers,
    toleranceMs: 20_000,
    mostAtOnce: 6,
    now: () => {
      state.looks++;
      return world.now();
    },
    ready: () => state.isReady,
    send: (orderId, run, nowMs) => {
      sent.push(`${orderId} ${run.runId} ${nowMs - run.startMs}`);
      return given.answer?.() ?? Promise.resolve({ kind: 'accepted', detail: 'taken' });
    },
  });
  return { ...world, clock, memory, logged, sent, state };
}

describe('what a clock of runs tells', () => {
  it('is each run that was claimed, sent and taken', async () => {
    const { clock, pass, memory, logged, sent } = scene();
    clock.put(ORDER);
    clock.start();
    await pass(10_000);
    expect(sent[0]).toBe(`o-1 ${RUN_A} 0`);
    expect(memory.events.filter(({ runId }) => runId === RUN_A)).toEqual([
      { runId: RUN_A, orderId: 'o-1', what: 'claimed', detail: 'about to be sent' },
      { runId: RUN_A, orderId: 'o-1', what: 'accepted', detail: 'taken' },
    ]);
    expect(logged[0]).toBe(
      `info valves: ${RUN_A} accepted, taken {"output":"valves","run":"${RUN_A}"}`,
    );
  });

  it.each<[string, () => Promise<Answer>, string]>([
    ['refused', async () => ({ kind: 'rejected', detail: 'no right' }), 'rejected, no right'],
    ['thrown', () => Promise.reject(new Error('x')), 'unknown, Error: x'],
  ])('is what was %s, as a warning', async (_, answer, words) => {
    const { clock, pass, memory, logged } = scene({ answer });
    clock.put(ORDER);
    clock.start();
    await pass(10_000);
    expect(logged[0]).toBe(`warn valves: ${RUN_A} ${words} {"output":"valves","run":"${RUN_A}"}`);
    expect(memory.events.find(({ what }) => words.startsWith(what))).toBeDefined();
  });

  it('is that an answer could not be kept', async () => {
    const { clock, pass, memory, logged } = scene();
    const add = memory.add;
    memory.add = (event) => {
      if (event.what === 'accepted') throw new Error('locked');
      add(event);
    };
    clock.put(ORDER);
    clock.start();
    await pass(10_000);
    expect(logged.slice(0, 2)).toEqual([
      `error valves: accepted not kept: Error: locked {"output":"valves","run":"${RUN_A}"}`,
      `info valves: ${RUN_A} accepted, taken {"output":"valves","run":"${RUN_A}"}`,
    ]);
  });

  it('is what was missed and why', async () => {
    const { clock, pass, logged, memory } = scene({ isReady: false });
    clock.put(ORDER);
    clock.start();
    await pass(32_000);
    expect(logged[0]).toBe(
      `warn valves: ${RUN_A} is not sent: it would start 21 s late {"output":"valves","run":"${RUN_A}"}`,
    );
    expect(memory.events[0]).toEqual({
      runId: RUN_A,
      orderId: 'o-1',
      what: 'missed',
      detail: 'it would start 21 s late',
    });
  });

  it('is that the wall clock jumped, and by how much', async () => {
    const { clock, pass, jump, logged } = scene();
    clock.put(ORDER);
    clock.start();
    await pass(1_000);
    jump(-3_600_000);
    await pass(1_000);
    expect(logged).toEqual([
      'warn valves: the clock jumped by -3600 s; nothing is made up for {"output":"valves"}',
    ]);
  });

  it('is a memory that cannot be had, once for each fault', async () => {
    const { clock, pass, memory, logged, sent } = scene();
    let fault: unknown = new Error('locked');
    memory.has = () => {
      throw fault;
    };
    clock.put(ORDER);
    clock.start();
    await pass(12_000);
    const line = (words: string) =>
      `error valves: no run can be sent (${words}) {"output":"valves"}`;
    expect(logged).toEqual([line('locked')]);
    fault = 'gone';
    await pass(3_000);
    expect(logged).toEqual([line('locked'), line('gone')]);
    memory.has = () => false;
    await pass(1_000);
    expect(sent).toHaveLength(2);
    expect(logged.slice(2).every((text) => text.startsWith('info'))).toBe(true);
  });
});

describe('when a clock of runs wakes', () => {
  it('is each second, at each start, and at once when an order comes', async () => {
    const { clock, pass, state, sent } = scene();
    clock.start();
    await pass(0);
    expect(state.looks).toBe(1);
    await pass(999);
    expect(state.looks).toBe(1);
    await pass(1);
    expect(state.looks).toBe(2);
    clock.put(ORDER);
    await pass(0);
    expect(state.looks).toBe(3);
    await pass(8_999);
    expect(sent).toEqual([]);
    await pass(1);
    expect(sent).toHaveLength(2);
  });

  it('is at the start itself, between two seconds', async () => {
    const { clock, pass, sent } = scene();
    await pass(500);
    clock.put(ORDER);
    clock.start();
    clock.start();
    await pass(9_499);
    expect(sent).toEqual([]);
    await pass(1);
    expect(sent).toHaveLength(2);
  });

  it('is never before its start and after its stop', async () => {
    const { clock, pass, state } = scene();
    clock.put(ORDER);
    await pass(5_000);
    expect(state.looks).toBe(0);
    clock.start();
    await pass(0);
    clock.stop();
    clock.stop();
    clock.put(null);
    await pass(20_000);
    expect(state.looks).toBe(1);
  });

  it('sends nothing where nothing stands any more', async () => {
    const { clock, pass, sent, memory } = scene();
    clock.put(ORDER);
    clock.start();
    await pass(5_000);
    clock.put(null);
    await pass(60_000);
    expect([sent, memory.events]).toEqual([[], []]);
  });
});

describe('which stations are open', () => {
  it('is known by bed, until the end of each, and until something else has shut them', async () => {
    const { clock, pass } = scene();
    clock.put(ORDER);
    clock.start();
    await pass(10_000);
    const open = clock.openOn(['bed-1']);
    expect(open).toMatchObject([
      { stationId: 's-1a', bedId: 'bed-1', runId: RUN_A },
      { stationId: 's-1b', bedId: 'bed-1' },
    ]);
    expect(clock.openOn('all')).toHaveLength(2);
    expect(clock.openOn(['bed-9'])).toEqual([]);
    clock.forget(open.slice(0, 1));
    expect(clock.openOn('all').map(({ stationId }) => stationId)).toEqual(['s-1b']);
    await pass(239_999);
    expect(clock.openOn('all')).toHaveLength(1);
    await pass(1);
    expect(clock.openOn('all')).toEqual([]);
  });
});

describe('dueRuns to the millisecond', () => {
  const run = (id: string, startMs: number, endMs = startMs + 1_000): TimedRun => ({
    runId: id,
    bedId: 'b',
    stationId: `s-${id}`,
    startMs,
    endMs,
  });
  const open = (stationId: string, untilMs: number): OpenStation => ({
    stationId,
    bedId: 'b',
    runId: 'x',
    untilMs,
  });
  const due = (change: Partial<Parameters<typeof dueRuns>[0]>) => {
    const { send, missed, nextMs } = dueRuns({
      standing: [],
      closed: new Set<string>(),
      open: [],
      nowMs: 10_000,
      notBeforeMs: -Infinity,
      toleranceMs: 500,
      mostAtOnce: 9,
      ...change,
    });
    return {
      send: send.map(({ runId }) => runId).join(' '),
      missed: missed.map((one) => `${one.run.runId} ${one.why}`).join(' '),
      nextMs,
    };
  };
  const late = (s: number) => `it would start ${s} s late`;
  const none = { send: '', missed: '', nextMs: null };

  it.each<[string, Parameters<typeof due>[0], object]>([
    ['nothing', {}, {}],
    ['at its start', { standing: [run('a', 10_000)] }, { send: 'a' }],
    ['a moment before', { standing: [run('a', 10_001)] }, { nextMs: 10_001 }],
    ['at its tolerance', { standing: [run('a', 9_500)] }, { send: 'a' }],
    ['after its tolerance', { standing: [run('a', 9_499)] }, { missed: `a ${late(1)}` }],
    ['a moment before its end', { standing: [run('a', 9_900, 10_001)] }, { send: 'a' }],
    ['at its end', { standing: [run('a', 9_900, 10_000)] }, { missed: `a ${late(0)}` }],
    ['at the guard', { standing: [run('a', 9_900)], notBeforeMs: 9_900 }, { send: 'a' }],
    [
      'before the guard',
      { standing: [run('a', 9_900)], notBeforeMs: 9_901 },
      { missed: 'a the clock jumped over its start' },
    ],
    ['closed', { standing: [run('a', 9_900)], closed: new Set(['a']) }, {}],
    [
      'closed and ahead',
      { standing: [run('a', 11_000), run('b', 12_000)], closed: new Set(['a']) },
      { nextMs: 12_000 },
    ],
    ['twice', { standing: [run('a', 9_900), run('a', 9_900)], mostAtOnce: 2 }, { send: 'a' }],
    [
      'in time order, by id at one instant',
      { standing: [run('c', 9_950), run('b', 9_900), run('a', 9_950), run('d', 11_000)] },
      { send: 'b a c', nextMs: 11_000 },
    ],
    ['open still', { standing: [run('a', 10_000)], open: [open('s-a', 10_001)] }, {}],
    ['open no more', { standing: [run('a', 10_000)], open: [open('s-a', 10_000)] }, { send: 'a' }],
    ['no room', { standing: [run('a', 9_900), run('b', 9_950)], mostAtOnce: 1 }, { send: 'a' }],
    [
      'no room beside what is open',
      { standing: [run('a', 9_900)], mostAtOnce: 1, open: [open('s-x', 10_001)] },
      {},
    ],
    [
      'of one station, the first',
      { standing: [run('a', 9_900), { ...run('b', 9_950), stationId: 's-a' }] },
      { send: 'a' },
    ],
  ])('%s', (_, given, found) => {
    expect(due(given)).toEqual({ ...none, ...found });
  });
});
