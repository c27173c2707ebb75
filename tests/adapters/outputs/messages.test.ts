import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { Answer } from '../../../adapters/contract.ts';
import { NoReplayStore } from '../../../adapters/outputs/mqtt-link.ts';
import {
  forgetOpen,
  type Message,
  publish,
  worstOf,
} from '../../../adapters/outputs/mqtt-messages.ts';
import { FakeClient } from './fake-broker.ts';

beforeEach(() => void vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] }));
afterEach(() => void vi.useRealTimers());
const pass = (ms: number) => vi.advanceTimersByTimeAsync(ms);

const message: Message = {
  topic: 's/plan',
  text: '{}',
  retain: true,
  contentType: 'application/json',
  expiryS: 60,
};
const accepted: Answer = { kind: 'accepted', detail: 'the broker has it' };

describe('one message', () => {
  const clientOf = (change: Partial<FakeClient> = {}, protocolVersion: 4 | 5 = 5) =>
    Object.assign(new FakeClient('mqtt://x', { protocolVersion }), { connected: true, ...change });
  const sent = (client: FakeClient, change: Partial<Message> = {}, timeoutMs = 1_000) =>
    publish(client as never, { ...message, ...change }, timeoutMs);

  it.each<[string, Partial<Message>, object]>([
    ['its expiry', {}, { messageExpiryInterval: 60 }],
    ['a part of a second as a whole one', { expiryS: 0.1 }, { messageExpiryInterval: 1 }],
    ['a second begun as a whole one', { expiryS: 60.2 }, { messageExpiryInterval: 61 }],
    ['a second for what is past', { expiryS: -5 }, { messageExpiryInterval: 1 }],
    ['the longest expiry', { expiryS: 1e12 }, { messageExpiryInterval: 0xffffffff }],
    ['no expiry', { expiryS: null }, {}],
  ])('goes out with %s', async (_, change, expiry) => {
    const client = clientOf();
    expect(await sent(client, change)).toEqual(accepted);
    expect(client.listenerCount('close'), 'nobody listens any more').toBe(0);
    expect(client.published[0]?.options).toEqual({
      qos: 1,
      retain: true,
      properties: { payloadFormatIndicator: true, contentType: 'application/json', ...expiry },
    });
  });

  it('goes out without properties over MQTT 3.1.1', async () => {
    const client = clientOf({}, 4);
    await sent(client, { retain: false });
    expect(client.published[0]?.options).toEqual({ qos: 1, retain: false });
  });

  it('is refused beforehand where the broker keeps none', async () => {
    const client = clientOf({ serverProperties: { retainAvailable: false } });
    expect(await sent(client)).toEqual({
      kind: 'rejected',
      detail: 'the broker keeps no retained messages; allow them there or use another broker',
    });
    expect(await sent(client, { retain: false })).toEqual(accepted);
    const keeps = clientOf({ serverProperties: { retainAvailable: true } });
    expect(await sent(keeps)).toEqual(accepted);
  });

  it('is refused beforehand where it is too large, in bytes', async () => {
    // A text of three letters in four bytes, a topic of six, and 64 for the rest.
    const client = clientOf({ serverProperties: { maximumPacketSize: 74 } });
    expect(await sent(client, { text: 'a\u00fcb' })).toEqual(accepted);
    expect(await sent(client, { text: 'a\u00fcbc' })).toEqual({
      kind: 'rejected',
      detail:
        'the plan is too large for the broker (got 75 bytes); allow larger packets than 74 bytes there',
    });
    expect(client.published).toHaveLength(1);
  });

  it.each([
    [Object.assign(new Error('no'), { code: 0x87 }), 'rejected'],
    [Object.assign(new Error('no'), { code: 0x80 }), 'rejected'],
    [Object.assign(new Error('no'), { code: 0x7f }), 'unknown'],
    [Object.assign(new Error('no'), { code: '0x87' }), 'unknown'],
    [new Error('no'), 'unknown'],
  ])('refused with %o is %s', async (error, kind) => {
    const client = clientOf({ answers: false });
    const answer = sent(client);
    client.published[0]?.done(error);
    const { detail, ...rest } = await answer;
    expect(rest).toEqual({ kind });
    const code = (error as { code?: number }).code ?? 0;
    expect(detail).toBe(
      kind === 'unknown'
        ? 'no'
        : `the broker refused it (got 0x${code.toString(16)}, no); look at its rights for this topic`,
    );
  });

  it('is unknown after its time-out, and when the line breaks', async () => {
    const client = clientOf({ answers: false });
    const late = sent(client, {}, 1_500);
    await pass(1_499);
    const open = sent(client);
    await pass(1);
    expect(await late).toEqual({
      kind: 'unknown',
      detail: 'the broker did not acknowledge within 1.5 s',
    });
    client.breaks();
    expect(await open).toEqual({
      kind: 'unknown',
      detail: 'the connection broke before the broker acknowledged',
    });
    expect(client.listenerCount('close')).toBe(0);
    expect(vi.getTimerCount()).toBe(0);
  });

  it('names the break before whoever else hears of it', async () => {
    const client = clientOf({ answers: false });
    client.on('close', () => client.published[0]?.done(new Error('forgotten')));
    const open = sent(client);
    client.breaks();
    expect((await open).detail).toBe('the connection broke before the broker acknowledged');
  });

  it('is let go of with all that is open', () => {
    const client = clientOf({ outgoing: { 1: {}, 20: {} } });
    forgetOpen(client as never);
    expect(client.forgotten).toEqual([1, 20]);
  });
});

describe('the worst of several answers', () => {
  const rejected: Answer = { kind: 'rejected', detail: 'r' };
  const unknown: Answer = { kind: 'unknown', detail: 'u' };

  it.each<[Answer[], Answer]>([
    [[accepted, rejected, unknown], unknown],
    [[rejected, accepted], rejected],
    [[accepted, rejected], rejected],
    [[accepted, { kind: 'accepted', detail: 'second' }], accepted],
    [[], { kind: 'unknown', detail: 'nothing was sent' }],
  ])('of %j', (answers, worst) => {
    expect(worstOf(answers)).toEqual(worst);
  });
});

describe('the store of sent messages', () => {
  it('keeps none, and says that all is well', () => {
    const store = new NoReplayStore();
    const done = vi.fn();
    const packet = { cmd: 'publish', messageId: 7 } as never;
    expect(store.put(packet, done)).toBe(store);
    expect(done.mock.calls).toEqual([[]]);
    expect(store.del({ messageId: 7 }, done)).toBe(store);
    expect(done.mock.calls[1]).toEqual([undefined, { messageId: 7 }]);
    const got = vi.fn();
    store.get(packet, got);
    expect(got.mock.calls[0]?.[1]).toBeUndefined();
  });
});
