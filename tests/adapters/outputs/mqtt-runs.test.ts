import { afterEach, describe, expect, it } from 'vitest';
import type { ConfirmedPlan } from '../../../adapters/contract.ts';
import { findBroker } from '../../broker.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';
import { untilHealthy } from './conformance.ts';
import { handTimers } from './hand-timers.ts';
import { type MqttRig, mqttRig, PROTOCOLS } from './mqtt-rig.ts';
import { confirmedExample, forgetfulMemory, holdExample } from './output-context.ts';

const RUN = 'dewbeat/example-site/run';
const MIN_MS = 60_000;
const rigs: MqttRig[] = [];
afterEach(async () => {
  for (const rig of rigs.splice(0)) await rig.close();
});

interface RunText {
  run_id: string | null;
  order_id: string | null;
  station: string;
  seconds: number;
}

/** An output in mode runs over a real broker, with time in the hand of the test. */
async function started(
  given: Parameters<typeof mqttRig>[0] & { memory?: ReturnType<typeof forgetfulMemory> } = {},
) {
  const world = handTimers(EXAMPLE_MADE_AT_MS + 10 * MIN_MS);
  let stored: { orderId: string; confirmed: ConfirmedPlan } | null = null;
  const memory = given.memory ?? forgetfulMemory();
  memory.standing = () => stored;
  const rig = await mqttRig({
    ...given,
    config: { mode: 'runs', ...given.config },
    context: { now: world.now, runMemory: () => memory, ...given.context },
    timers: world.timers,
  });
  rigs.push(rig);
  const runs = async () => (await rig.heardOn(RUN)).map(({ text }) => JSON.parse(text) as RunText);
  const untilSettled = async (count: number) => {
    await rig.listener.until(
      `${count} on /run`,
      (heard) => heard.filter(({ topic }) => topic === RUN).length >= count,
    );
  };
  return {
    rig,
    memory,
    ...world,
    runs,
    untilSettled,
    toMin: (min: number) => world.pass(EXAMPLE_MADE_AT_MS + min * MIN_MS - world.now()),
    store: (orderId: string, confirmed: ConfirmedPlan | null) => {
      stored = confirmed && { orderId, confirmed };
    },
    begin: async () => {
      await rig.output.start();
      await untilHealthy(rig.output);
      await world.pass(1_000);
      await untilSettled(1);
    },
    deliver: async (orderId = 'o-1', confirmed = confirmedExample()) => {
      const answer = await rig.output.deliver(orderId, confirmed);
      stored = { orderId, confirmed };
      return answer;
    },
  };
}

describe.skipIf(findBroker() === null).each(PROTOCOLS)('mqtt run by run over %s', (protocol) => {
  it('shuts everything first, then publishes each run at its start with its own end', async () => {
    const field = await started({ protocol });
    await field.begin();
    expect((await field.deliver()).kind).toBe('accepted');
    await field.toMin(74.9);
    expect(await field.runs()).toMatchObject([{ station: '*', seconds: 0, run_id: null }]);
    await field.toMin(75);
    await field.untilSettled(3);
    const [shut, first, second] = await field.rig.heardOn(RUN);
    expect(JSON.parse(first?.text ?? '')).toEqual({
      format: 'dewbeat-run',
      format_version: 1,
      order_id: 'o-1',
      run_id: 's-1a@2026-07-01T06:15:00-07:00',
      station: 's-1a',
      seconds: 240,
      start: '2026-07-01T06:15:00-07:00',
      ends: '2026-07-01T06:19:00-07:00',
      expires: '2026-07-01T06:15:20-07:00',
    });
    expect(JSON.parse(second?.text ?? '')).toMatchObject({ station: 's-1b' });
    expect([shut, first, second]).toMatchObject(Array(3).fill({ qos: 1, retain: false }));
    expect(shut?.expiryS).toBeUndefined();
    if (protocol === '5') expect(first?.expiryS).toBeLessThanOrEqual(20);
    else expect(first?.expiryS).toBeUndefined();
    expect(await field.rig.retained(RUN)).toBeNull();
  });

  it('shuts what is open on a hold, and sends nothing of it afterwards', async () => {
    const field = await started({ protocol });
    await field.begin();
    await field.deliver();
    await field.toMin(76);
    await field.untilSettled(3);
    const remaining = confirmedExample({ heldBedIds: ['bed-1'] });
    const hold = holdExample({ beds: ['bed-1'], remaining });
    expect((await field.rig.output.withdraw('o-2', hold)).kind).toBe('accepted');
    field.store('o-2', remaining);
    expect((await field.runs()).slice(3)).toMatchObject([
      { order_id: 'o-2', run_id: 's-1a@2026-07-01T06:15:00-07:00', station: 's-1a', seconds: 0 },
      { order_id: 'o-2', run_id: 's-1b@2026-07-01T06:15:00-07:00', station: 's-1b', seconds: 0 },
    ]);
    await field.toMin(91);
    await field.untilSettled(6);
    expect((await field.runs()).at(-1)).toMatchObject({ order_id: 'o-2', station: 's-2a' });
    expect((await field.rig.output.withdraw('o-3', holdExample())).kind).toBe('accepted');
    expect((await field.runs()).slice(6)).toMatchObject([
      { station: 's-2a', seconds: 0 },
      { station: '*', seconds: 0 },
    ]);
    // The store still says that it stands: the output itself has been told otherwise.
    await field.toMin(17 * 60);
    expect((await field.runs()).slice(8)).toEqual([]);
  });

  it('shuts everything at its stop, and takes up after a restart without a double', async () => {
    const before = await started({ protocol });
    await before.begin();
    await before.deliver();
    await before.toMin(75);
    await before.untilSettled(3);
    await before.rig.output.stop();
    expect((await before.runs()).slice(3)).toMatchObject([{ station: '*', seconds: 0 }]);

    const after = await started({ protocol, memory: before.memory });
    after.store('o-1', confirmedExample());
    await after.toMin(75.1);
    await after.begin();
    await after.toMin(90);
    await after.untilSettled(2);
    expect((await after.runs()).map(({ station }) => station)).toEqual(['*', 's-2a']);
  });

  it('has a hold out within a second while a delivery hangs, which then never takes effect', async () => {
    const field = await started({ protocol, config: { timeout: '60 s' } });
    await field.begin();
    await field.rig.heardOn(RUN);
    field.rig.line.silence(true);
    const delivery = field.rig.output.deliver('o-1', confirmedExample());
    await new Promise((resolve) => setTimeout(resolve, 20));
    const beforeMs = performance.now();
    const hold = field.rig.output.withdraw('o-2', holdExample());
    expect((await delivery).kind).toBe('unknown');
    field.rig.line.silence(false);
    expect((await hold).kind).toBe('accepted');
    expect(performance.now() - beforeMs).toBeLessThan(1000);
    field.store('o-1', confirmedExample());
    await field.toMin(80);
    expect((await field.runs()).filter(({ seconds }) => seconds > 0)).toEqual([]);
  });

  it('sends nothing of a delivery that the broker acknowledges after the hold', async () => {
    const field = await started({ protocol });
    await field.begin();
    // By then the first shutting is acknowledged, and a delivery goes out at once.
    await field.runs();
    const delivery = field.rig.output.deliver('o-1', confirmedExample());
    for (let i = 0; i < 10; i++) await Promise.resolve();
    const hold = field.rig.output.withdraw('o-2', holdExample());
    expect(await delivery).toEqual({ kind: 'unknown', detail: 'overtaken by o-2 while under way' });
    expect((await hold).kind).toBe('accepted');
    const coming = await field.rig.heardOn('dewbeat/example-site/coming');
    expect(coming.map(({ text }) => (JSON.parse(text) as RunText).order_id)).toEqual([
      'o-1',
      'o-2',
    ]);
    field.store('o-1', confirmedExample());
    await field.toMin(80);
    expect((await field.runs()).filter(({ seconds }) => seconds > 0)).toEqual([]);
  });
});
