import { describe, expect, it } from 'vitest';
import { accepted, message, NoReplay, online, opened, pass, useFakeLine } from './link-rig.ts';

useFakeLine();

describe('how a link connects', () => {
  it('asks for a session that keeps receipts, with its own store and its will', () => {
    const { client } = opened();
    expect(client.url).toBe('mqtt://broker.invalid');
    expect(client.options).toEqual({
      username: 'u',
      password: 'p',
      clientId: 'dewbeat-id',
      clean: false,
      resubscribe: false,
      queueQoSZero: false,
      outgoingStore: expect.any(NoReplay),
      keepalive: 30,
      connectTimeout: 2_000,
      reconnectPeriod: 3_000,
      reconnectOnConnackError: true,
      will: { topic: 's/status', payload: Buffer.from('offline'), qos: 1, retain: true },
      protocolVersion: 5,
      properties: { sessionExpiryInterval: 86_400, maximumPacketSize: 32 * 2 ** 20 },
    });
    expect(client.handleMessage).toBeTypeOf('function');
    const older = opened({ protocol: '3.1.1' }).client.options;
    expect(older.protocolVersion).toBe(4);
    expect('properties' in older).toBe(false);
  });

  it('is away until it is connected, and says why', async () => {
    const { link, client, logged } = opened();
    const away = (why: string) => ({ kind: 'unknown', detail: `broker away: ${why}` });
    expect(await link.send(message)).toEqual(away('no connection yet'));
    expect(link.health()).toEqual({ ok: false, detail: 'broker away: no connection yet' });
    expect(link.standing('s/plan')).toEqual({
      seen: false,
      why: 'broker away: no connection yet',
    });
    client.emit('error', new Error('refused'));
    expect(logged).toHaveLength(1);
    client.emit('error', new Error('refused'));
    expect(logged).toEqual(['warn broker: refused {"output":"mqtt"}']);
    expect(await link.send(message)).toEqual(away('refused'));
    client.connects().breaks();
    expect(link.health().detail).toBe('broker away: the connection broke');
    expect(client.published.map(({ topic }) => topic)).toEqual(['s/status']);
  });

  it.each([
    [Object.assign(new Error(''), { code: 'ECONNREFUSED' }), 'ECONNREFUSED'],
    [Object.assign(new Error(''), { code: '' }), 'an unnamed fault'],
    [new Error(''), 'an unnamed fault'],
    [Object.assign(new Error('words'), { code: 'E' }), 'words'],
  ])('names a fault %#', async (error, words) => {
    const { client, link } = opened();
    client.emit('error', error);
    expect(link.health().detail).toBe(`broker away: ${words}`);
  });

  it('says online, retained, and hears what it should with QoS 1', async () => {
    const { client, link, logged } = await online();
    expect(client.published).toMatchObject([
      {
        topic: 's/status',
        text: 'online',
        options: { qos: 1, retain: true, properties: { contentType: 'text/plain' } },
      },
    ]);
    expect(client.subscribed).toMatchObject([
      { topics: ['s/receipt', 's/ran'], options: { qos: 1 } },
      { topics: ['s/plan'], options: { qos: 0 } },
    ]);
    expect(link.health()).toEqual({ ok: true, detail: 'connected to the broker' });
    expect(logged).toEqual(['info connected to the broker {"output":"mqtt"}']);
    expect(await link.send(message)).toEqual(accepted);
  });

  it('says that it hears nothing until it does, and why it does not', async () => {
    const { client, link, logged } = opened();
    client.answers = false;
    client.connects();
    expect(link.health()).toEqual({ ok: false, detail: 'receipts and runs are not heard yet' });
    client.subscribed[0]?.done(new Error('not authorized'));
    const deaf = 'no receipts and runs can be heard: not authorized';
    expect(link.health()).toEqual({ ok: false, detail: deaf });
    expect(logged).toContain(`warn ${deaf} {"output":"mqtt"}`);
    client.subscribed[0]?.done(null);
    expect(link.health().ok).toBe(true);
    expect(logged).toHaveLength(2);
  });

  it('warns where its status was not taken', async () => {
    const { client, logged } = opened();
    client.answers = false;
    client.connects();
    await pass(2_000);
    expect(logged.at(-1)).toBe(
      'warn status: the broker did not acknowledge within 2 s {"output":"mqtt"}',
    );
  });
});

describe('what stands at the broker', () => {
  it('is not known until the broker had time to say it', async () => {
    const { client, link } = opened();
    client.answers = false;
    client.connects();
    const blind = { seen: false, why: 'the broker has not said yet what stands there' };
    expect(link.standing('s/plan')).toEqual(blind);
    client.subscribed[1]?.done(null);
    await pass(299);
    expect(link.standing('s/plan')).toEqual(blind);
    await pass(1);
    expect(link.standing('s/plan')).toEqual({ seen: true, text: null });
    client.hears('s/plan', 'text');
    expect(link.standing('s/plan')).toEqual({ seen: true, text: 'text' });
    client.hears('s/plan', '');
    expect(link.standing('s/plan')).toEqual({ seen: true, text: null });
  });

  it('is known as soon as it comes, and is nobody else to hear', async () => {
    const { client, link, heard } = await online();
    client.hears('s/plan', 'text \u00fc').hears('s/ran', '{}');
    expect(link.standing('s/plan')).toEqual({ seen: true, text: 'text \u00fc' });
    expect(heard).toEqual(['s/ran {}']);
  });

  it('is asked for again each half minute, from nothing', async () => {
    const { client, link } = await online();
    client.hears('s/plan', 'text');
    await pass(300 + 29_999);
    expect(client.subscribed).toHaveLength(2);
    await pass(1);
    expect(client.subscribed).toHaveLength(3);
    expect(client.subscribed[2]?.topics).toEqual(['s/plan']);
    await pass(300);
    expect(link.standing('s/plan'), 'forgotten by the broker').toEqual({ seen: true, text: null });
    await pass(30_000);
    expect(client.subscribed).toHaveLength(4);
  });

  it('is not asked for on a line that is broken, nor after the close', async () => {
    const { client, link } = await online();
    client.breaks();
    await pass(60_000);
    expect(client.subscribed).toHaveLength(2);
    const other = await online();
    await pass(300);
    other.client.connected = false;
    await pass(60_000);
    expect(other.client.subscribed).toHaveLength(2);
    const third = await online();
    void third.link.close();
    await pass(60_000);
    expect(third.client.subscribed).toHaveLength(2);
    expect(link.standing('s/plan')).toEqual({
      seen: false,
      why: 'broker away: the connection broke',
    });
  });

  it('is seen anew after a break, and asked for once however often it connects', async () => {
    const { client, link } = await online();
    client.hears('s/plan', 'text');
    await pass(300);
    client.breaks();
    client.connected = true;
    expect(link.standing('s/plan')).toEqual({ seen: true, text: 'text' });
    expect(link.standing('s/other')).toEqual({ seen: false, why: 'the connection broke' });
    client.answers = false;
    client.connects();
    expect(link.standing('s/plan')).toMatchObject({ seen: false });
    client.answers = true;
    client.connects();
    await pass(300);
    expect(client.subscribed).toHaveLength(6);
    await pass(30_000);
    expect(client.subscribed).toHaveLength(7);
  });

  it('cannot be read without the right', async () => {
    const { client, link, logged } = opened();
    client.answers = false;
    client.connects();
    client.subscribed[1]?.done(new Error('not authorized'));
    const why = 'what stands there cannot be read: not authorized';
    expect(link.standing('s/plan')).toEqual({ seen: false, why });
    expect(logged.at(-1)).toBe(`warn ${why} {"output":"mqtt"}`);
    await pass(60_000);
    expect(link.standing('s/plan')).toEqual({ seen: false, why });
  });

  it('is not asked for where nothing is its own', async () => {
    const { client, link } = opened({}, []);
    client.connects();
    await pass(1_000);
    expect(client.subscribed).toHaveLength(1);
    expect(link.standing('s/plan')).toEqual({
      seen: false,
      why: 'the broker has not been asked yet',
    });
  });
});
