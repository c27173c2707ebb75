import { describe, expect, it } from 'vitest';
import type { Answer } from '../../../adapters/contract.ts';
import { runClock, type StandingOrder } from '../../../adapters/outputs/mqtt-runs.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';
import { handTimers } from './hand-timers.ts';
import { confirmedExample, contextForTest, forgetfulMemory } from './output-context.ts';

const MIN_MS = 60_000;
const HOUR_MS = 60 * MIN_MS;
const ORDER: StandingOrder = { orderId: 'o-1', confirmed: confirmedExample() };

function scene(given: { mostAtOnce?: number; memory?: ReturnType<typeof forgetfulMemory> } = {}) {
  const world = handTimers(EXAMPLE_MADE_AT_MS + 10 * MIN_MS);
  const { context, logged } = contextForTest();
  const state = {
    stored: ORDER as StandingOrder | null,
    ready: true,
    answer: { kind: 'accepted', detail: 'the broker has it' } as Answer,
  };
  const memory = given.memory ?? forgetfulMemory();
  memory.standing = () => state.stored;
  const sent: string[] = [];
  const clock = runClock({
    name: 'mqtt',
    clock: context.clock,
    log: context.log,
    memory,
    timers: world.timers,
    toleranceMs: 20_000,
    mostAtOnce: given.mostAtOnce ?? 6,
    now: world.now,
    ready: () => state.ready,
    send: async (_, run) => {
      sent.push(run.runId);
      return state.answer;
    },
  });
  clock.put(ORDER);
  clock.start();
  const toMin = (min: number) => world.pass(EXAMPLE_MADE_AT_MS + min * MIN_MS - world.now());
  const missed = () => memory.events.filter(({ what }) => what === 'missed');
  return { ...world, clock, state, memory, sent, logged, toMin, missed };
}

describe('runClock', () => {
  it('sends each run of a day once, at its start', async () => {
    const { toMin, sent, memory, missed } = scene();
    await toMin(74.99);
    expect(sent).toEqual([]);
    await toMin(75.01);
    expect(sent).toEqual(['s-1a@2026-07-01T06:15:00-07:00', 's-1b@2026-07-01T06:15:00-07:00']);
    await toMin(18 * 60);
    expect(sent).toHaveLength(12);
    expect(new Set(sent).size).toBe(12);
    expect(missed()).toEqual([]);
    expect(memory.events.filter(({ what }) => what === 'accepted')).toHaveLength(12);
  });

  it('remembers before it sends, and sends nothing where that fails', async () => {
    const { toMin, sent, memory, logged } = scene();
    memory.add = () => {
      throw new Error('disk full');
    };
    await toMin(90.5);
    expect(sent).toEqual([]);
    expect(logged.filter((line) => line.includes('no run can be sent (disk full)'))).toHaveLength(
      1,
    );
  });

  it('takes up after a restart where it was: no run twice', async () => {
    const before = scene();
    await before.toMin(75.01);
    before.clock.stop();
    const { toMin, sent } = scene({ memory: before.memory });
    await toMin(90.01);
    expect(sent).toEqual(['s-2a@2026-07-01T06:30:00-07:00']);
  });

  it('sends nothing twice when the clock is set back', async () => {
    const { toMin, jump, pass, sent } = scene();
    await toMin(75.01);
    jump(-HOUR_MS);
    await pass(70 * MIN_MS);
    expect(sent).toHaveLength(2);
  });

  it('sends no burst when the clock is set forward, or stood still while asleep', async () => {
    const { toMin, jump, pass, sent, missed } = scene();
    await toMin(60);
    // To ten seconds after the second cycle of the first bed, well within the tolerance.
    jump((285 - 60) * MIN_MS + 10_000);
    await pass(5_000);
    expect(sent).toEqual([]);
    expect(missed().map(({ detail }) => detail)).toEqual(
      Array(7).fill('the clock jumped over its start'),
    );
  });

  it('waits for the line no longer than the tolerance, and owns up', async () => {
    const { toMin, pass, state, sent, missed } = scene();
    state.ready = false;
    await toMin(75);
    await pass(15_000);
    state.ready = true;
    await pass(2_000);
    expect(sent).toHaveLength(2);
    state.ready = false;
    await toMin(90);
    await pass(22_000);
    state.ready = true;
    await pass(60_000);
    expect(sent).toHaveLength(2);
    expect(missed()).toMatchObject([
      { runId: 's-2a@2026-07-01T06:30:00-07:00', detail: 'it would start 21 s late' },
    ]);
  });

  it('opens no more than allowed, counted by the clock that nobody sets', async () => {
    const { toMin, jump, pass, sent, missed } = scene({ mostAtOnce: 1 });
    await toMin(75.01);
    expect(sent).toEqual(['s-1a@2026-07-01T06:15:00-07:00']);
    // By the wall the first run is long over; its valve is open all the same.
    jump(15 * MIN_MS - 3_000);
    await pass(10_000);
    expect(sent).toHaveLength(1);
    expect(missed()).toHaveLength(1);
    await pass(20_000);
    expect(missed().map(({ runId }) => runId)).toContain('s-2a@2026-07-01T06:30:00-07:00');
  });

  it('asks the store at each start: a hold counts from the moment it is there', async () => {
    const { toMin, state, sent } = scene();
    await toMin(74);
    state.stored = null;
    await toMin(76);
    expect(sent).toEqual([]);
    state.stored = { orderId: 'o-2', confirmed: confirmedExample() };
    await toMin(91);
    expect(sent).toEqual([]);
    state.stored = { orderId: 'o-1', confirmed: confirmedExample({ heldBedIds: ['bed-3'] }) };
    await toMin(106);
    expect(sent).toEqual([]);
  });

  it('tells of a run that the broker did not vouch for, and does not send it again', async () => {
    const { toMin, state, sent, memory } = scene();
    state.answer = { kind: 'unknown', detail: 'the broker did not acknowledge within 2 s' };
    await toMin(76);
    expect(sent).toHaveLength(2);
    expect(memory.events.filter(({ what }) => what === 'unknown')).toHaveLength(2);
  });

  it('knows which stations are open, until their end', async () => {
    const { toMin, clock } = scene();
    await toMin(75.5);
    expect(clock.openOn(['bed-1']).map(({ stationId }) => stationId)).toEqual(['s-1a', 's-1b']);
    expect(clock.openOn(['bed-2'])).toEqual([]);
    await toMin(84);
    expect(clock.openOn('all')).toEqual([]);
  });
});
