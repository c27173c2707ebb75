import mqtt from 'mqtt';
import { afterEach, describe, expect, it } from 'vitest';
import {
  forgetOpen,
  type Message,
  publish,
  worstOf,
} from '../../../adapters/outputs/mqtt-messages.ts';
import { findBroker, startBroker } from '../../broker.ts';
import { cuttableLine } from '../../cuttable-line.ts';

const cleanUps: (() => Promise<void>)[] = [];
afterEach(async () => {
  for (const cleanUp of cleanUps.splice(0).reverse()) await cleanUp();
});

const message: Message = {
  topic: 'dewbeat/example-site/plan',
  text: '{}',
  retain: true,
  contentType: 'application/json',
  expiryS: 60,
};

async function clientOnLine() {
  const broker = await startBroker();
  cleanUps.push(broker.stop);
  const line = await cuttableLine(broker.port);
  cleanUps.push(line.close);
  const client = await mqtt.connectAsync(`mqtt://127.0.0.1:${line.port}`, {
    protocolVersion: 5,
    reconnectPeriod: 0,
  });
  cleanUps.push(() => client.endAsync(true));
  return { client, line };
}

describe.skipIf(findBroker() === null)('publish', () => {
  it('keeps nothing of a message once the broker has it', async () => {
    const { client } = await clientOnLine();
    expect(await publish(client, message, 2000)).toEqual({
      kind: 'accepted',
      detail: 'the broker has it',
    });
    expect(Object.keys(client.outgoing)).toEqual([]);
  });

  it('lets go of messages that were never acknowledged, answered once', async () => {
    const { client, line } = await clientOnLine();
    line.silence(true);
    const late = await publish(client, message, 50);
    const open = publish(client, message, 60_000);
    expect(Object.keys(client.outgoing)).toHaveLength(2);
    forgetOpen(client);
    expect(Object.keys(client.outgoing)).toEqual([]);
    expect([late.kind, (await open).kind]).toEqual(['unknown', 'unknown']);
  });

  it('leaves no listener behind', async () => {
    const { client, line } = await clientOnLine();
    const before = client.listenerCount('close');
    for (let i = 0; i < 20; i++) await publish(client, message, 2000);
    line.silence(true);
    await publish(client, message, 20);
    expect(client.listenerCount('close')).toBe(before);
  });
});

describe('the worst of several answers', () => {
  const accepted = { kind: 'accepted', detail: 'a' } as const;
  const rejected = { kind: 'rejected', detail: 'r' } as const;
  const unknown = { kind: 'unknown', detail: 'u' } as const;
  it.each([
    { answers: [], kind: 'unknown' },
    { answers: [accepted], kind: 'accepted' },
    { answers: [accepted, rejected], kind: 'rejected' },
    { answers: [rejected, unknown, accepted], kind: 'unknown' },
  ])('of $answers is $kind', ({ answers, kind }) => {
    expect(worstOf(answers).kind).toBe(kind);
  });
});
