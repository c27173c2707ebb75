import { afterAll, afterEach, beforeAll, beforeEach, vi } from 'vitest';
import type { Answer } from '../../../adapters/contract.ts';
import { mqttOutputSchema } from '../../../adapters/outputs/mqtt-config.ts';
import type { NoReplayStore, openLink as OpenLink } from '../../../adapters/outputs/mqtt-link.ts';
import type { Message } from '../../../adapters/outputs/mqtt-messages.ts';
import { FakeClient, fakeMqtt } from './fake-broker.ts';

let openLink: typeof OpenLink;
export let NoReplay: typeof NoReplayStore;
/** What the steady clock says. */
export const time = { nowMs: 1_000_000 };
let clock: { mockRestore(): void };

/** Has every link of a file speak to a fake broker, with clocks in the hand of the test. */
export function useFakeLine(): void {
  beforeAll(async () => {
    vi.doMock('mqtt', fakeMqtt as never);
    vi.resetModules();
    ({ openLink } = await import('../../../adapters/outputs/mqtt-link.ts'));
    ({ NoReplayStore: NoReplay } = await import('../../../adapters/outputs/mqtt-link.ts'));
  });
  afterAll(() => {
    vi.doUnmock('mqtt');
    vi.resetModules();
  });
  beforeEach(() => {
    FakeClient.all = [];
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
    clock = vi.spyOn(performance, 'now').mockImplementation(() => time.nowMs);
  });
  afterEach(() => {
    clock.mockRestore();
    vi.useRealTimers();
  });
}

export const pass = (ms: number) => vi.advanceTimersByTimeAsync(ms);

export const topics = { status: 's/status', heard: ['s/receipt', 's/ran'], own: ['s/plan'] };
export const message: Message = {
  topic: 's/plan',
  text: '{}',
  retain: true,
  contentType: 'application/json',
  expiryS: 60,
};
export const accepted: Answer = { kind: 'accepted', detail: 'the broker has it' };

export function opened(change: object = {}, own: string[] = topics.own) {
  const config = mqttOutputSchema.parse({
    output: 'mqtt',
    url: 'mqtt://broker.invalid',
    timeout: '2 s',
    retry: '3 s',
    ...change,
  });
  const logged: string[] = [];
  const heard: string[] = [];
  const write = (level: string) => (fields: object, text: string) =>
    void logged.push(`${level} ${text} ${JSON.stringify(fields)}`);
  const log = { info: write('info'), warn: write('warn'), error: write('error') };
  const link = openLink({
    config,
    secrets: { username: 'u', password: 'p' },
    clientId: 'dewbeat-id',
    topics: { ...topics, own },
    log,
    hear: (topic, payload) => void heard.push(`${topic} ${Buffer.from(payload).toString()}`),
  });
  return { link, logged, heard, client: FakeClient.last };
}
export const online = async (change: object = {}) => {
  const here = opened(change);
  here.client.connects();
  await pass(0);
  return here;
};
