import { describe, expect, it } from 'vitest';
import type { Found, Wanted } from '../../../adapters/contract.ts';
import { createOutput } from '../../../adapters/outputs/list.ts';
import { wantedText } from '../../../adapters/outputs/order-document.ts';
import { EXAMPLE_MADE_AT_MS, examplePlan } from '../../example-plan.ts';
import { FakeClient } from './fake-broker.ts';
import { confirmedExample, contextForTest, EXAMPLE_CLOCK, holdExample } from './output-context.ts';
import {
  at,
  configOf,
  createMqtt,
  NOW_MS,
  ordersOn,
  outputs,
  plans,
  tick,
  useFakeBroker,
} from './over-link-rig.ts';

useFakeBroker();

describe('the plan over a link', () => {
  it('is one retained message, which expires with its day', async () => {
    const { output, client } = await plans();
    expect(client.options.clientId).toBe('dewbeat-example-site-mqtt');
    expect(client.options.will?.topic).toBe(at('status'));
    expect(client.subscribed.map(({ topics }) => topics)).toEqual([
      [at('receipt'), at('ran')],
      [at('plan')],
    ]);
    const confirmed = confirmedExample();
    expect(await output.deliver('o-1', confirmed)).toEqual({
      kind: 'accepted',
      detail: 'mqtt: the broker has it',
    });
    const sent = client.published.at(-1);
    expect(sent?.topic).toBe(at('plan'));
    expect(sent?.options).toMatchObject({
      retain: true,
      properties: { messageExpiryInterval: 19 * 3600 - 600 },
    });
    expect(sent?.text).toBe(
      wantedText({ kind: 'deliver', orderId: 'o-1', confirmed }, EXAMPLE_CLOCK),
    );
  });

  it('is refused when its day is over', async () => {
    const { output, client, setNow } = await plans();
    setNow(EXAMPLE_MADE_AT_MS + 19 * 3_600_000);
    expect(await output.deliver('o-1', confirmedExample())).toMatchObject({
      kind: 'rejected',
      detail: expect.stringMatching(/^mqtt: the plan is over/),
    });
    expect(client.textsOn('/plan')).toEqual([]);
  });

  it('is taken away by a hold, which goes first, and neither expires', async () => {
    const { output, client } = await plans();
    expect((await output.withdraw('o-2', holdExample())).kind).toBe('accepted');
    const [hold, plan] = client.published.slice(-2);
    expect([hold?.topic, plan?.topic]).toEqual([at('hold'), at('plan')]);
    expect(hold?.options.retain).toBe(false);
    expect(plan?.options.retain).toBe(true);
    for (const one of [hold, plan]) {
      expect(one?.options.properties).not.toHaveProperty('messageExpiryInterval');
    }
  });

  it('expires as it did where some of it remains', async () => {
    const { output, client } = await plans();
    await output.withdraw('o-2', holdExample({ beds: ['bed-1'], remaining: confirmedExample() }));
    expect(client.published.at(-1)?.options.properties).toMatchObject({
      messageExpiryInterval: 19 * 3600 - 600,
    });
  });

  it('is held against what is wanted, and asked again where it does not stand', async () => {
    const { output, client } = await plans();
    const confirmed = confirmedExample();
    const wanted: Wanted = { kind: 'deliver', orderId: 'o-1', confirmed };
    const where = `mqtt: ${at('plan')}`;
    expect(await output.find(wanted)).toEqual({
      kind: 'unseen',
      detail: `${where}: the broker has not said yet what stands there`,
    });
    await output.deliver('o-1', confirmed);
    client.hears(at('plan'), client.textsOn('/plan')[0] ?? '');
    expect(await output.find(wanted)).toEqual({ kind: 'as_wanted' });
    await output.deliver('o-1', confirmed);
    expect(ordersOn(client)).toEqual(['o-1']);
    client.hears(at('plan'), '');
    const nothing: Found = { kind: 'nothing', detail: `${where}: no order stands there` };
    expect(await output.find(null)).toEqual(nothing);
    await output.deliver('o-1', confirmed);
    expect(ordersOn(client), 'nothing was wanted').toEqual(['o-1']);
    expect(await output.find(wanted)).toEqual(nothing);
    await output.deliver('o-1', confirmed);
    expect(ordersOn(client)).toEqual(['o-1', 'o-1']);
    client.hears(at('plan'), 'junk');
    expect(await output.find(wanted)).toEqual({
      kind: 'other',
      detail: `${where}: something that is no order stands there`,
      order: null,
    });
  });

  it('stays at a broker of the older protocol alone', async () => {
    expect((await plans()).output.keepsPastOrders).toBe(false);
    expect((await plans({ protocol: '3.1.1' })).output.keepsPastOrders).toBe(true);
  });

  it('goes under the names that the config gives', async () => {
    const { client, output } = await plans({
      name: 'box',
      prefix: 'a/b',
      site: 'c',
      client_id: 'mine',
    });
    expect(client.options.clientId).toBe('mine');
    await output.deliver('o-1', confirmedExample());
    expect(client.published.at(-1)?.topic).toBe('a/b/c/plan');
    expect((await plans({ name: 'box' })).client.options.clientId).toBe('dewbeat-example-site-box');
  });

  it('is the worst of several answers, and says so', async () => {
    const { output, client } = await plans();
    client.answers = false;
    const held = output.withdraw('o-2', holdExample());
    await tick();
    const [hold, plan] = client.published.slice(-2);
    hold?.done();
    plan?.done(Object.assign(new Error('quota'), { code: 0x97 }));
    expect(await held).toMatchObject({
      kind: 'rejected',
      detail: expect.stringMatching(/^mqtt: the broker refused it/),
    });
  });

  it('is unknown before the start and after the stop', async () => {
    const { context } = contextForTest();
    const output = createMqtt(configOf(), context, {});
    const notStarted = { kind: 'unknown', detail: 'the output is not started' };
    expect(await output.deliver('o-1', confirmedExample())).toEqual(notStarted);
    expect(output.health()).toEqual({ ok: false, detail: notStarted.detail });
    expect(await output.find(null)).toEqual({ kind: 'unseen', detail: notStarted.detail });
    await output.start();
    await output.start();
    expect(FakeClient.all).toHaveLength(1);
    FakeClient.last.connects();
    await tick();
    expect(output.health().ok).toBe(true);
    await output.stop();
    await output.stop();
    expect(FakeClient.last.textsOn('status')).toEqual(['online', 'stopped']);
    const stopped = { kind: 'unknown', detail: 'the output is stopped' };
    expect(await output.deliver('o-2', confirmedExample())).toEqual(stopped);
    expect(output.health()).toEqual({ ok: false, detail: stopped.detail });
    await output.start();
    expect(FakeClient.all).toHaveLength(2);
  });

  it('connects to nobody where it was stopped while its secrets were read', async () => {
    const { context } = contextForTest();
    const output = createMqtt(configOf(), context, {});
    const starting = output.start();
    await output.stop();
    await starting;
    expect(FakeClient.all).toEqual([]);
    expect(output.health().detail).toBe('the output is stopped');
  });

  it('tells news on a topic of its own', async () => {
    const { output, client } = await plans();
    const news = { newsId: 'n', kind: 'away', atMs: NOW_MS } as never;
    expect((await output.tell?.(news))?.kind).toBe('accepted');
    expect(client.published.at(-1)).toMatchObject({
      topic: at('news'),
      options: { retain: false },
    });
  });

  it.each(['a/b', 'a+', '#', ''])('cannot go under the site id %j', async (siteId) => {
    const { output, logged } = await plans({}, { siteId });
    const detail = `mqtt: site: does not fit into a topic (got ${siteId}); name a site without +, # and /`;
    expect(output.health()).toEqual({ ok: false, detail });
    expect(await output.deliver('o', confirmedExample())).toEqual({ kind: 'rejected', detail });
    expect(logged).toEqual([`${detail} {"output":"mqtt"}`]);
    expect(FakeClient.all).toEqual([]);
  });

  it('waits for a secret that is missing, and takes it up at the next start', async () => {
    const { context, logged } = contextForTest();
    const env: NodeJS.ProcessEnv = {};
    const config = configOf({ username_env: 'DEWBEAT_U' });
    const output = createMqtt(config, context, env);
    outputs.push(output);
    await output.start();
    const detail =
      'mqtt: username_env: the variable is not set (got DEWBEAT_U); give it before the start';
    expect(output.health()).toEqual({ ok: false, detail });
    expect(logged).toEqual([`${detail} {"output":"mqtt"}`]);
    expect((await output.deliver('o', confirmedExample())).kind).toBe('rejected');
    env['DEWBEAT_U'] = 'name';
    await output.start();
    expect(FakeClient.last.options.username).toBe('name');
  });
});

describe('what comes back over a link', () => {
  it('is passed on as what it is, and nothing else is', async () => {
    const { client, reports, logged } = await plans();
    client
      .hears(at('receipt'), '{"order_id":"o-1","answer":"accepted"}')
      .hears(at('ran'), '{"station_id":"s-1","start":"2026-07-01T06:15:00Z","run_s":9}')
      .hears(at('other'), '{"order_id":"o-1","answer":"accepted"}')
      .hears(at('receipt'), 'junk');
    expect(reports).toMatchObject([
      { kind: 'receipt', output: 'mqtt', orderId: 'o-1', atMs: NOW_MS },
      { kind: 'ran', output: 'mqtt', stationId: 's-1', runS: 9 },
    ]);
    expect(logged.at(-1)).toBe(
      `${at('receipt')}: a message is no JSON in UTF-8; it was dropped {"output":"mqtt","topic":"${at('receipt')}"}`,
    );
  });

  it('troubles nobody where it is not taken', async () => {
    const report = () => {
      throw new Error('no room');
    };
    const { client, logged } = await plans({}, { report });
    client.hears(at('receipt'), '{"order_id":"o-1","answer":"accepted"}');
    expect(logged.at(-1)).toBe(
      'a report from the field was not taken {"output":"mqtt","error":"Error: no room"}',
    );
  });
});

describe('the kinds of outputs', () => {
  it('are made by their config, in either mode', async () => {
    const remembered: string[] = [];
    const runMemory = (output: string) => {
      remembered.push(output);
      return { has: () => true, add: () => {}, standing: () => null };
    };
    const { context } = contextForTest({ runMemory });
    const plan = await createOutput(configOf(), context);
    expect(remembered).toEqual([]);
    const byRuns = await createOutput(configOf({ mode: 'runs', name: 'valves' }), context);
    expect(remembered).toEqual(['valves']);
    expect([plan.name, byRuns.name]).toEqual(['mqtt', 'valves']);
    expect(await plan.deliver('o', confirmedExample({ plan: examplePlan() }))).toMatchObject({
      kind: 'unknown',
    });
  });
});
