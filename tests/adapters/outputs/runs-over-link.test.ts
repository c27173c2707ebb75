import { describe, expect, it, vi } from 'vitest';
import type { Wanted } from '../../../adapters/contract.ts';
import { FakeClient } from './fake-broker.ts';
import { confirmedExample, forgetfulMemory, holdExample } from './output-context.ts';
import { at, NOW_MS, ordersOn, runs, runTexts, tick, useFakeBroker } from './over-link-rig.ts';

useFakeBroker();

describe('run by run over a link', () => {
  it('shuts all, then opens each station at its start, for its seconds', async () => {
    const { begin, deliver, toMin } = await runs();
    const client = await begin();
    expect(runTexts(client)).toEqual(['* 0 null']);
    expect(await deliver()).toEqual({ kind: 'accepted', detail: 'mqtt: the broker has it' });
    const coming = client.published.at(-1);
    expect(coming?.topic).toBe(at('coming'));
    expect(coming?.options).toMatchObject({
      retain: true,
      properties: { messageExpiryInterval: 19 * 3600 - 601 },
    });
    await toMin(74.9);
    expect(runTexts(client)).toHaveLength(1);
    await toMin(75);
    expect(runTexts(client).slice(1)).toEqual(['s-1a 240 o-1', 's-1b 240 o-1']);
    expect(client.published.at(-1)?.options).toMatchObject({
      retain: false,
      properties: { messageExpiryInterval: 20 },
    });
  });

  it.each([
    [{ most_at_once: 1 }, 6, 1],
    [{}, 1, 1],
    [{}, 6, 2],
  ])('opens with %j and %i in all %i at once', async (config, stationsAtOnce, count) => {
    const { begin, deliver, toMin } = await runs({ config, stationsAtOnce });
    const client = await begin();
    await deliver();
    await toMin(75);
    expect(runTexts(client).slice(1)).toHaveLength(count);
  });

  it('takes the tolerance of the config', async () => {
    const { begin, deliver, toMin } = await runs({ config: { late_tolerance: '60 s' } });
    const client = await begin();
    await deliver();
    client.connected = false;
    await toMin(75.5);
    client.connected = true;
    await toMin(75.9);
    expect(runTexts(client).slice(1)).toEqual(['s-1a 209 o-1', 's-1b 209 o-1']);
  });

  it('refuses a plan whose day is over, and shuts nothing for it', async () => {
    const { output, jump, begin } = await runs();
    const client = await begin();
    jump(24 * 3_600_000);
    expect((await output.deliver('o-1', confirmedExample())).detail).toMatch(
      /^mqtt: the plan is over/,
    );
    expect(client.textsOn('/coming')).toEqual([]);
  });

  it('delivers nothing before all is shut, and tries that each second', async () => {
    const { output, deliver, pass, toMin } = await runs();
    await output.start();
    const client = FakeClient.last;
    expect(await deliver()).toMatchObject({ kind: 'unknown', detail: /broker away/ });
    client.connects();
    await tick();
    expect(runTexts(client)).toEqual([]);
    await pass(1_000);
    expect(runTexts(client)).toEqual(['* 0 null']);
    await pass(5_000);
    expect(runTexts(client)).toEqual(['* 0 null']);
    expect((await deliver()).kind).toBe('accepted');
    expect(runTexts(client), 'shut before').toEqual(['* 0 null']);
    await toMin(75);
    expect(runTexts(client)).toHaveLength(3);
  });

  it('shuts all by a delivery that comes first, once for all who wait', async () => {
    const { output } = await runs();
    await output.start();
    await tick();
    FakeClient.last.connects();
    const confirmed = confirmedExample();
    const both = [output.deliver('o-1', confirmed), output.deliver('o-2', confirmed)];
    await Promise.all(both);
    expect(runTexts(FakeClient.last)).toEqual(['* 0 null']);
    expect(ordersOn(FakeClient.last, '/coming')).toEqual(['o-1', 'o-2']);
  });

  it('opens nothing where a hold came while all was being shut', async () => {
    const { output, toMin } = await runs();
    await output.start();
    const client = FakeClient.last;
    await tick();
    client.answers = false;
    client.connects();
    const delivering = output.deliver('o-1', confirmedExample());
    await tick();
    const shut = client.published.find(({ topic }) => topic === at('run'));
    const held = output.withdraw('o-2', holdExample());
    await tick();
    client.answers = true;
    for (const one of client.published) one.done();
    expect((await held).kind).toBe('accepted');
    expect((await delivering).kind).toBe('unknown');
    expect(shut).toBeDefined();
    await toMin(80);
    expect(ordersOn(client, '/coming')).toEqual(['o-2']);
    expect(runTexts(client).filter((text) => text.startsWith('s-'))).toEqual([]);
  });

  it('opens nothing of a delivery that the broker takes after a hold', async () => {
    const { output, begin, state, toMin } = await runs();
    const client = await begin();
    client.answers = false;
    const confirmed = confirmedExample();
    const delivering = output.deliver('o-1', confirmed);
    await tick();
    const late = client.published.at(-1);
    client.answers = true;
    await output.withdraw('o-2', holdExample());
    late?.done();
    expect((await delivering).kind).toBe('unknown');
    state.stored = { orderId: 'o-1', confirmed };
    await toMin(80);
    expect(runTexts(client).filter((text) => text.startsWith('s-'))).toEqual([]);
  });

  it('takes no plan that the broker did not take', async () => {
    const { output, begin, state, toMin } = await runs();
    const client = await begin();
    client.answers = false;
    const confirmed = confirmedExample();
    const delivering = output.deliver('o-1', confirmed);
    await tick();
    client.published.at(-1)?.done(Object.assign(new Error('no'), { code: 0x87 }));
    expect((await delivering).kind).toBe('rejected');
    client.answers = true;
    state.stored = { orderId: 'o-1', confirmed };
    await toMin(80);
    expect(runTexts(client)).toEqual(['* 0 null']);
  });

  it('shuts the open stations of a held bed, each under its run, and opens the others', async () => {
    const { output, begin, deliver, toMin, state } = await runs();
    const client = await begin();
    await deliver();
    await toMin(76);
    const remaining = confirmedExample({ heldBedIds: ['bed-1'] });
    const hold = holdExample({ beds: ['bed-1'], remaining });
    expect((await output.withdraw('o-2', hold)).kind).toBe('accepted');
    expect(client.published.slice(-4).map(({ topic }) => topic)).toEqual(
      ['run', 'run', 'hold', 'coming'].map(at),
    );
    expect(runTexts(client).slice(3)).toEqual(['s-1a 0 o-2', 's-1b 0 o-2']);
    const shut = JSON.parse(client.textsOn('/run').at(-1) ?? '');
    expect(shut).toMatchObject({ run_id: 's-1b@2026-07-01T06:15:00-07:00' });
    expect(client.published.at(-1)?.options.properties).toMatchObject({
      messageExpiryInterval: 19 * 3600 - 76 * 60,
    });
    state.stored = { orderId: 'o-2', confirmed: remaining };
    await toMin(300);
    expect(runTexts(client).slice(5)).toEqual([
      's-2a 240 o-2',
      's-3a 240 o-2',
      's-3b 240 o-2',
      's-2a 240 o-2',
    ]);
    // What was shut is not shut again.
    await output.withdraw('o-3', holdExample({ beds: ['bed-1'], remaining }));
    expect(runTexts(client)).toHaveLength(9);
  });

  it('shuts what was shut once', async () => {
    const { output, begin, deliver, toMin } = await runs();
    const client = await begin();
    await deliver();
    await toMin(76);
    const hold = holdExample({ beds: ['bed-1'], remaining: confirmedExample() });
    await output.withdraw('o-2', hold);
    expect(runTexts(client)).toHaveLength(5);
    await output.withdraw('o-3', hold);
    expect(runTexts(client)).toHaveLength(5);
  });

  it('takes no plan where the broker refuses that all is shut', async () => {
    const { output } = await runs();
    await output.start();
    await tick();
    const client = FakeClient.last;
    client.answers = false;
    client.connects();
    const delivering = output.deliver('o-1', confirmedExample());
    await tick();
    const shut = client.published.find(({ topic }) => topic === at('run'));
    client.answers = true;
    shut?.done(Object.assign(new Error('no'), { code: 0x87 }));
    expect((await delivering).kind).toBe('rejected');
    expect(client.textsOn('/coming')).toEqual([]);
  });

  it('shuts again what the broker did not acknowledge', async () => {
    const { output, begin, deliver, toMin } = await runs();
    const client = await begin();
    await deliver();
    await toMin(76);
    client.connected = false;
    const hold = holdExample({ beds: ['bed-1'], remaining: confirmedExample() });
    expect((await output.withdraw('o-2', hold)).kind).toBe('unknown');
    client.connected = true;
    await output.withdraw('o-2', hold);
    expect(runTexts(client).slice(3)).toEqual(['s-1a 0 o-2', 's-1b 0 o-2']);
  });

  it('shuts every station by a hold on everything, and runs nothing from then on', async () => {
    const { output, begin, deliver, toMin } = await runs();
    const client = await begin();
    await deliver();
    await output.withdraw('o-2', holdExample());
    expect(client.published.slice(-3).map(({ topic }) => topic)).toEqual(
      ['run', 'hold', 'coming'].map(at),
    );
    expect(runTexts(client)).toEqual(['* 0 null', '* 0 o-2']);
    expect(client.published.at(-1)?.options.properties).not.toHaveProperty('messageExpiryInterval');
    await toMin(400);
    expect(runTexts(client)).toHaveLength(2);
  });

  it('takes up what stood when it went down, unless an order came first', async () => {
    const { begin, state, toMin } = await runs();
    state.stored = { orderId: 'o-9', confirmed: confirmedExample() };
    const client = await begin();
    await toMin(75);
    expect(runTexts(client)).toEqual(['* 0 null', 's-1a 240 o-9', 's-1b 240 o-9']);
  });

  it('opens nothing before the broker has it that all is shut', async () => {
    const { output, state, toMin, pass } = await runs();
    state.stored = { orderId: 'o-9', confirmed: confirmedExample() };
    await output.start();
    const client = FakeClient.last;
    await tick();
    client.answers = false;
    client.connects();
    for (const one of client.subscribed) one.done(null);
    await tick();
    expect(output.health().ok).toBe(true);
    await toMin(75);
    expect(runTexts(client)).toEqual(['* 0 null']);
    client.answers = true;
    for (const one of client.published) one.done();
    await tick();
    await pass(1_000);
    expect(runTexts(client)).toEqual(['* 0 null', 's-1a 239 o-9', 's-1b 239 o-9']);
  });

  it('asks a memory that cannot be read each ten seconds, and says so', async () => {
    const memory = forgetfulMemory();
    let isBroken = true;
    let asked = 0;
    memory.standing = () => {
      asked++;
      if (isBroken) throw new Error('locked');
      return { orderId: 'o-9', confirmed: confirmedExample() };
    };
    const { begin, pass, logged, toMin } = await runs({ memory });
    const client = await begin();
    expect(logged.filter((line) => line.includes('what stands'))).toEqual([
      'mqtt: what stands cannot be read (Error: locked) {"output":"mqtt"}',
    ]);
    await pass(8_999);
    expect(asked).toBe(1);
    isBroken = false;
    await pass(1);
    expect(asked).toBe(2);
    await pass(60_000);
    expect(asked).toBe(2);
    await toMin(75);
    expect(runTexts(client)).toHaveLength(3);
  });

  it('does not ask it any more once an order came, or the output was stopped', async () => {
    const memory = forgetfulMemory();
    let asked = 0;
    memory.standing = () => {
      asked++;
      throw new Error('locked');
    };
    const first = await runs({ memory });
    await first.begin();
    await first.deliver();
    await first.pass(60_000);
    expect(asked).toBe(1);
    const second = await runs({ memory });
    await second.begin();
    await second.output.withdraw('o-1', holdExample());
    await second.pass(60_000);
    expect(asked).toBe(2);
    const third = await runs({ memory });
    await third.begin();
    await third.output.stop();
    await third.pass(60_000);
    expect(asked).toBe(3);
  });

  it('shuts all at its stop, and once more at the next start', async () => {
    const { output, begin, deliver, toMin, state } = await runs();
    const client = await begin();
    await deliver();
    await toMin(76);
    await output.stop();
    expect(runTexts(client).slice(3)).toEqual(['* 0 null']);
    expect(client.textsOn('status')).toEqual(['online', 'stopped']);
    await toMin(91);
    expect(runTexts(client)).toHaveLength(4);
    await output.stop();
    state.stored = { orderId: 'o-1', confirmed: confirmedExample() };
    const again = await begin();
    expect(again).not.toBe(client);
    expect(runTexts(again)).toEqual(['* 0 null']);
    await toMin(105);
    expect(runTexts(again).slice(1)).toEqual(['s-3a 240 o-1', 's-3b 240 o-1']);
  });

  it('is started once, and not at all where it is stopped meanwhile', async () => {
    const { output, begin, pass } = await runs();
    const client = await begin();
    await output.start();
    await pass(2_000);
    expect(FakeClient.all).toHaveLength(1);
    expect(runTexts(client)).toHaveLength(1);
    const memory = forgetfulMemory(() => ({ orderId: 'o-9', confirmed: confirmedExample() }));
    const other = await runs({ memory });
    const starting = other.output.start();
    await other.output.stop();
    await starting;
    await other.toMin(400);
    expect(memory.events, 'no run is looked at').toEqual([]);
    expect(other.output.health().detail).toBe('the output is stopped');
    for (const one of FakeClient.all.slice(1)) expect(one.ends).toHaveLength(1);
  });

  it('waits for the last shutting at its stop, and no longer than it may', async () => {
    const { output, begin } = await runs();
    const client = await begin();
    client.answers = false;
    vi.useFakeTimers({ toFake: ['setTimeout', 'clearTimeout'] });
    try {
      let isDone = false;
      void output.stop().then(() => {
        isDone = true;
      });
      await vi.advanceTimersByTimeAsync(799);
      expect(client.textsOn('status')).toEqual(['online']);
      await vi.advanceTimersByTimeAsync(1);
      expect(client.textsOn('status')).toEqual(['online', 'stopped']);
      await vi.advanceTimersByTimeAsync(4_000);
      expect(isDone).toBe(true);
    } finally {
      vi.useRealTimers();
    }
  });

  it('reads back what stands for people, and stays at an older broker', async () => {
    const { output, begin, deliver } = await runs();
    const client = await begin();
    await deliver();
    const wanted: Wanted = { kind: 'deliver', orderId: 'o-1', confirmed: confirmedExample() };
    client.hears(at('coming'), client.textsOn('/coming')[0] ?? '');
    expect(await output.find(wanted)).toEqual({ kind: 'as_wanted' });
    expect(await output.find(null)).toMatchObject({ kind: 'other' });
    await deliver();
    expect(ordersOn(client, '/coming')).toEqual(['o-1']);
    client.hears(at('coming'), '');
    expect(await output.find(wanted)).toMatchObject({ kind: 'nothing' });
    await deliver();
    expect(ordersOn(client, '/coming')).toEqual(['o-1', 'o-1']);
    expect(output.keepsPastOrders).toBe(false);
    expect((await runs({ config: { protocol: '3.1.1' } })).output.keepsPastOrders).toBe(true);
    expect(output.name).toBe('mqtt');
    expect(output.health().ok).toBe(true);
    const news = { newsId: 'n', kind: 'away', atMs: NOW_MS } as never;
    expect((await output.tell?.(news))?.kind).toBe('accepted');
    expect(client.published.at(-1)?.topic).toBe(at('news'));
  });
});
