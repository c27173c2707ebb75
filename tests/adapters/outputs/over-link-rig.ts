import { afterAll, afterEach, beforeAll, beforeEach, vi } from 'vitest';
import type { Output, OutputContext, RunMemory } from '../../../adapters/contract.ts';
import type { createMqttOutput as CreateMqtt } from '../../../adapters/outputs/mqtt.ts';
import { mqttOutputSchema } from '../../../adapters/outputs/mqtt-config.ts';
import type { createMqttRunsOutput as CreateRuns } from '../../../adapters/outputs/mqtt-runs.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';
import { FakeClient, fakeMqtt } from './fake-broker.ts';
import { handTimers } from './hand-timers.ts';
import { confirmedExample, contextForTest, forgetfulMemory } from './output-context.ts';

export let createMqtt: typeof CreateMqtt;
let createRuns: typeof CreateRuns;
export const outputs: Output[] = [];
/** Has every output of a file speak to a fake broker. */
export function useFakeBroker(): void {
  beforeAll(async () => {
    vi.doMock('mqtt', fakeMqtt as never);
    vi.resetModules();
    ({ createMqttOutput: createMqtt } = await import('../../../adapters/outputs/mqtt.ts'));
    ({ createMqttRunsOutput: createRuns } = await import('../../../adapters/outputs/mqtt-runs.ts'));
  });
  afterAll(() => {
    vi.doUnmock('mqtt');
    vi.resetModules();
  });
  beforeEach(() => {
    FakeClient.all = [];
  });
  afterEach(async () => {
    for (const client of FakeClient.all) client.answers = true;
    for (const output of outputs.splice(0)) await output.stop();
  });
}

export const MIN_MS = 60_000;
export const NOW_MS = EXAMPLE_MADE_AT_MS + 10 * MIN_MS;
export const at = (last: string) => `dewbeat/example-site/${last}`;
export const tick = () => new Promise((resolve) => setImmediate(resolve));
export const configOf = (change: object = {}) =>
  mqttOutputSchema.parse({ output: 'mqtt', url: 'mqtt://b', timeout: '2 s', ...change });
export const ordersOn = (client: FakeClient, topic = '/plan') =>
  client.textsOn(topic).map((text) => (JSON.parse(text) as { order_id: string }).order_id);

export async function plans(config: object = {}, context: Partial<OutputContext> = {}) {
  const test = contextForTest(context);
  const output = createMqtt(configOf(config), test.context, {});
  outputs.push(output);
  await output.start();
  const client = FakeClient.all.at(-1);
  client?.connects();
  await tick();
  return { ...test, output, client: client as FakeClient };
}

export async function runs(
  given: { memory?: RunMemory; config?: object; stationsAtOnce?: number } = {},
) {
  const world = handTimers(NOW_MS);
  const state: { stored: ReturnType<RunMemory['standing']> } = { stored: null };
  const memory = given.memory ?? forgetfulMemory(() => state.stored);
  const test = contextForTest({
    now: world.now,
    runMemory: () => memory,
    ...(given.stationsAtOnce === undefined ? {} : { stationsAtOnce: given.stationsAtOnce }),
  });
  const config = configOf({ mode: 'runs', ...given.config });
  const output = createRuns(config, test.context, {}, world.timers);
  outputs.push(output);
  const begin = async () => {
    await output.start();
    FakeClient.last.connects();
    await tick();
    await world.pass(1_000);
    return FakeClient.last;
  };
  const deliver = async (orderId = 'o-1', confirmed = confirmedExample()) => {
    const answer = await output.deliver(orderId, confirmed);
    if (answer.kind === 'accepted') state.stored = { orderId, confirmed };
    return answer;
  };
  const toMin = (min: number) => world.pass(EXAMPLE_MADE_AT_MS + min * MIN_MS - world.now());
  return { ...test, ...world, output, state, memory, begin, deliver, toMin };
}

export const runTexts = (client: FakeClient) =>
  client
    .textsOn('/run')
    .map((text) => JSON.parse(text) as Record<string, unknown>)
    .map(({ station, seconds, order_id }) => `${station} ${seconds} ${order_id}`);
