import mqtt, { Store } from 'mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import { NoReplayStore } from '../../../adapters/outputs/mqtt-link.ts';
import { findBroker, startBroker } from '../../broker.ts';
import { cuttableLine } from '../../cuttable-line.ts';
import { listen } from '../../listener.ts';

const cleanUps: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const cleanUp of cleanUps.splice(0).reverse()) await cleanUp();
});

/** What a broker hears after a message was lost on a broken line and the client came back. */
async function heardAfterBreak(outgoingStore: Store): Promise<string[]> {
  const broker = await startBroker();
  cleanUps.push(broker.stop);
  const line = await cuttableLine(broker.port);
  cleanUps.push(line.close);
  const listener = await listen(broker.url);
  cleanUps.push(listener.close);
  const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${line.port}`, {
    clientId: 'replay-trial',
    clean: false,
    reconnectPeriod: 50,
    outgoingStore,
  });
  cleanUps.push(() => client.endAsync(true));
  line.silence(true);
  client.publish('dewbeat/example-site/plan', 'lost', { qos: 1 });
  const again = new Promise((resolve) => client.once('connect', resolve));
  line.cut();
  line.silence(false);
  await again;
  client.publish('dewbeat/example-site/plan', 'after', { qos: 1 });
  await listener.until('the later one', (heard) => heard.some(({ text }) => text === 'after'));
  return listener.heard.map(({ text }) => text);
}

describe.skipIf(findBroker() === null)('the store of sent messages', () => {
  it('lets nothing go out again by itself', async () => {
    expect(await heardAfterBreak(new NoReplayStore())).toEqual(['after']);
  });

  it('is needed: the library alone sends a lost message again', async () => {
    expect(await heardAfterBreak(new Store())).toContain('lost');
  });
});
