import { afterEach, describe, expect, it } from 'vitest';
import type { OrderPayload } from '../../../adapters/outputs/order-document.ts';
import { findBroker } from '../../broker.ts';
import { EXAMPLE_MADE_AT_MS } from '../../example-plan.ts';
import { untilHealthy } from './conformance.ts';
import { type MqttRig, mqttRig, PROTOCOLS } from './mqtt-rig.ts';
import { confirmedExample, holdExample } from './output-context.ts';

const at = (last: string) => `dewbeat/example-site/${last}`;
const rigs: MqttRig[] = [];
afterEach(async () => {
  for (const rig of rigs.splice(0)) await rig.close();
});

async function started(given: Parameters<typeof mqttRig>[0] = {}): Promise<MqttRig> {
  const rig = await mqttRig(given);
  rigs.push(rig);
  await rig.output.start();
  await untilHealthy(rig.output);
  return rig;
}

const textsOn = async (rig: MqttRig, topic: string) =>
  (await rig.heardOn(topic)).map(({ text }) => text);

describe.skipIf(findBroker() === null).each(PROTOCOLS)('mqtt output over MQTT %s', (protocol) => {
  it('says online, and stopped at a clean end without its will', async () => {
    const rig = await started({ protocol });
    await rig.listener.until('online', (heard) => heard.some(({ text }) => text === 'online'));
    await rig.output.stop();
    expect(await textsOn(rig, at('status'))).toEqual(['online', 'stopped']);
    const contentType = protocol === '5' ? 'text/plain' : undefined;
    const stopped = { text: 'stopped', retain: true, contentType };
    expect(await rig.retained(at('status'))).toMatchObject(stopped);
  });

  it('leaves its will when the line is cut hard, and comes back', async () => {
    const rig = await started({ protocol });
    await rig.listener.until('online', (heard) => heard.some(({ text }) => text === 'online'));
    rig.line.cut();
    const status = (heard: MqttRig['listener']['heard']) =>
      heard.filter(({ topic }) => topic === at('status')).map(({ text }) => text);
    await rig.listener.until('online again', (heard) => status(heard).length >= 3);
    expect(status(rig.listener.heard)).toEqual(['online', 'offline', 'online']);
  });

  it('publishes the plan retained with QoS 1 and, where the protocol can, its expiry', async () => {
    const rig = await started({ protocol });
    await rig.output.deliver('o-1', confirmedExample());
    const [heard] = await rig.heardOn(at('plan'));
    const contentType = protocol === '5' ? 'application/json' : undefined;
    expect(heard).toMatchObject({ retain: true, qos: 1, contentType });
    // The plan ends 19 h after it was made; the test's clock stands 10 min after.
    const leftS = 19 * 3600 - 600;
    if (protocol === '5') {
      expect(heard?.expiryS).toBeGreaterThan(leftS - 10);
      expect(heard?.expiryS).toBeLessThanOrEqual(leftS);
    } else {
      expect(heard?.expiryS).toBeUndefined();
    }
  });

  it('tells a hold before it empties the plan, and lets neither expire', async () => {
    const rig = await started({ protocol });
    await rig.output.deliver('o-1', confirmedExample());
    await rig.output.withdraw('o-2', holdExample());
    await rig.heardOn(at('hold'));
    const sequence = rig.listener.heard.filter(({ topic }) => /\/(plan|hold)$/.test(topic));
    expect(sequence.map(({ topic }) => topic)).toEqual([at('plan'), at('hold'), at('plan')]);
    const [, hold, plan] = sequence;
    expect(hold).toMatchObject({ retain: false, qos: 1, expiryS: undefined });
    expect(plan).toMatchObject({ retain: true, qos: 1, expiryS: undefined });
    expect(JSON.parse(hold?.text ?? '')).toEqual({
      format: 'dewbeat-hold',
      format_version: 1,
      order_id: 'o-2',
      site_id: 'example-site',
      site_day: '2026-07-01',
      valid_until: '2026-07-02T00:00:00-07:00',
      who: 'B. Tester (invented)',
      at: '2026-07-01T07:00:00-07:00',
      why: 'visitors on the turf',
      everything: true,
      beds: [],
    });
  });

  it('passes receipts and runs on', async () => {
    const rig = await started({ protocol });
    const receipt = { order_id: 'o-1', answer: 'rejected', detail: 'box 3 is off', more: 1 };
    await rig.listener.say(at('receipt'), JSON.stringify(receipt));
    const ran = { station_id: 's-1a', start: '2026-07-01T06:15:02-07:00', run_s: 238.5 };
    await rig.listener.say(at('ran'), JSON.stringify({ ...ran, flow_l_per_min: 61 }));
    await rig.listener.say(at('ran'), JSON.stringify(ran));
    await rig.listener.until('the reports', () => rig.test.reports.length === 3);
    const common = { output: 'mqtt', atMs: EXAMPLE_MADE_AT_MS + 600_000 };
    const startMs = EXAMPLE_MADE_AT_MS + 75 * 60_000 + 2000;
    const run = { kind: 'ran', stationId: 's-1a', startMs, runS: 238.5, ...common };
    expect(rig.test.reports).toEqual([
      { kind: 'receipt', orderId: 'o-1', answer: 'rejected', detail: 'box 3 is off', ...common },
      { ...run, flowLPerMin: 61 },
      { ...run, flowLPerMin: null },
    ]);
  });

  it('drops junk from the field, says so, and goes on', async () => {
    const rig = await started({ protocol });
    const before = await textsOn(rig, at('plan'));
    const confirm = { confirm: true, revision: 2, digest: confirmedExample().digest };
    const junk: (string | Buffer)[] = [
      '',
      'null',
      '[]',
      '{"order_id":',
      '\ufeffhello',
      Buffer.from([0xff, 0xfe, 0x00]),
      JSON.stringify(confirm),
      JSON.stringify({ order_id: 'o-1', answer: 'confirmed' }),
      JSON.stringify({ order_id: 7, answer: 'accepted' }),
      JSON.stringify({ station_id: 's', start: 'yesterday', run_s: 1 }),
      JSON.stringify({ station_id: 's', start: '2026-07-01T06:15:00', run_s: 1 }),
      JSON.stringify({ station_id: 's', start: '2026-07-01T06:15:00Z', run_s: -1 }),
      JSON.stringify({ station_id: 's', start: '2026-07-01T06:15:00Z', run_s: 1e9 }),
      JSON.stringify({ order_id: 'o-1', answer: 'accepted', pad: 'x'.repeat(9000) }),
    ];
    for (const message of junk) {
      await rig.listener.say(at('receipt'), message);
      await rig.listener.say(at('ran'), message);
    }
    await rig.listener.say(at('receipt'), JSON.stringify({ order_id: 'o-9', answer: 'accepted' }));
    await rig.listener.until('the receipt', () => rig.test.reports.length > 0);
    expect(rig.test.reports).toMatchObject([{ kind: 'receipt', orderId: 'o-9' }]);
    const dropped = rig.test.logged.filter((line) => line.includes('it was dropped'));
    expect(dropped).toHaveLength(2 * junk.length);
    expect(await textsOn(rig, at('plan'))).toEqual(before);
    expect((await rig.output.deliver('o-1', confirmedExample())).kind).toBe('accepted');
  });

  it('is not troubled by a message of megabytes', async () => {
    const rig = await started({ protocol });
    await rig.listener.say(at('receipt'), 'x'.repeat(2_000_000));
    await rig.listener.say(at('receipt'), JSON.stringify({ order_id: 'o-9', answer: 'accepted' }));
    await rig.listener.until('the receipt', () => rig.test.reports.length > 0);
    expect(rig.test.reports).toMatchObject([{ kind: 'receipt', orderId: 'o-9' }]);
    // One connection all along: the broker itself keeps it back, or it is read and dropped.
    expect(await textsOn(rig, at('status'))).toEqual(['online']);
  });

  it('outlives a taker of reports that throws', async () => {
    const report = () => {
      throw new Error('no room');
    };
    const rig = await started({ protocol, context: { report } });
    await rig.listener.say(at('receipt'), JSON.stringify({ order_id: 'o-1', answer: 'accepted' }));
    await rig.listener.until('the log', () =>
      rig.test.logged.some((line) => line.includes('was not taken')),
    );
    expect((await rig.output.deliver('o-1', confirmedExample())).kind).toBe('accepted');
  });

  it('gets receipts that were sent while it was away', async () => {
    const rig = await started({ protocol });
    await rig.output.stop();
    await rig.listener.say(at('receipt'), JSON.stringify({ order_id: 'o-1', answer: 'accepted' }));
    await rig.output.start();
    await rig.listener.until('the receipt', () => rig.test.reports.length > 0);
    expect(rig.test.reports).toMatchObject([{ kind: 'receipt', orderId: 'o-1' }]);
  });

  it('calls a silent broker unknown, and sends nothing by itself when it speaks again', async () => {
    const rig = await started({ protocol, config: { timeout: '0.3 s' } });
    await rig.heardOn(at('status'));
    rig.line.silence(true);
    const answer = await rig.output.deliver('o-1', confirmedExample());
    expect(answer).toEqual({
      kind: 'unknown',
      detail: 'mqtt: the broker did not acknowledge within 0.3 s',
    });
    rig.line.cut();
    rig.line.silence(false);
    await rig.listener.until('the cut', () => !rig.output.health().ok);
    await untilHealthy(rig.output);
    expect((await rig.output.withdraw('o-2', holdExample())).kind).toBe('accepted');
    const orders = (await textsOn(rig, at('plan'))).map((text) => JSON.parse(text) as OrderPayload);
    expect(orders.map((order) => order.order_id)).toEqual(['o-2']);
  });

  it('answers at once when the line breaks under an order', async () => {
    const rig = await started({ protocol, config: { timeout: '60 s' } });
    rig.line.silence(true);
    const answer = rig.output.deliver('o-1', confirmedExample());
    rig.line.cut();
    rig.line.silence(false);
    expect(await answer).toEqual({
      kind: 'unknown',
      detail: 'mqtt: the connection broke before the broker acknowledged',
    });
  });

  it('stops in good time while an order is open on a silent line', async () => {
    const rig = await started({ protocol, config: { timeout: '0.5 s' } });
    rig.line.silence(true);
    const answer = rig.output.deliver('o-1', confirmedExample());
    const beforeMs = performance.now();
    await rig.output.stop();
    expect(performance.now() - beforeMs).toBeLessThan(3000);
    expect((await answer).kind).toBe('unknown');
  });
});

describe.skipIf(findBroker() === null)('news over MQTT', () => {
  it('goes to its own topic, not retained, with QoS 1', async () => {
    const rig = await started({ protocol: '5' });
    const answer = await rig.output.tell?.({
      newsId: 'example-site-7',
      kind: 'hold_reminder',
      siteId: 'example-site',
      siteDay: '2026-07-01',
      atMs: EXAMPLE_MADE_AT_MS,
      text: 'An invented reminder.',
      revision: null,
      digest: null,
    });
    expect(answer?.kind).toBe('accepted');
    const [heard] = await rig.heardOn(at('news'));
    expect(heard).toMatchObject({ retain: false, qos: 1, expiryS: 3600 });
    expect(JSON.parse(heard?.text ?? '')).toMatchObject({
      format: 'dewbeat-news',
      kind: 'hold_reminder',
      text: 'An invented reminder.',
      revision: null,
    });
  });
});
