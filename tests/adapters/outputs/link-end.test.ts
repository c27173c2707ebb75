import { describe, expect, it, vi } from 'vitest';
import { FakeClient } from './fake-broker.ts';
import { accepted, message, online, opened, pass, time, useFakeLine } from './link-rig.ts';

useFakeLine();

describe('another client of the same id', () => {
  const twin =
    'another client uses the id dewbeat-id: two daemons, or two outputs; give each its own client_id';

  it('is one where three connections in a row are cut short', async () => {
    const { client, link, logged } = await online();
    time.nowMs += 4_999;
    client.breaks();
    client.connects().breaks();
    expect(FakeClient.all).toHaveLength(1);
    client.connects().breaks();
    expect(FakeClient.all).toHaveLength(2);
    const second = FakeClient.last;
    expect(second.options.clientId).toMatch(/^dewbeat-id-[0-9a-f]{8}$/);
    expect(client.ends).toMatchObject([{ force: true }]);
    expect(logged.filter((line) => line.startsWith('error'))).toEqual([
      `error broker: ${twin} {"output":"mqtt"}`,
    ]);
    second.connects();
    await pass(0);
    expect(link.health()).toEqual({ ok: false, detail: twin });
    expect(await link.send(message)).toEqual(accepted);
    expect(second.textsOn('plan')).toEqual(['{}']);
    // One step aside is enough, and the one before is nobody any more.
    for (let i = 0; i < 5; i++) second.breaks().connects();
    client.connects().breaks();
    expect(FakeClient.all).toHaveLength(2);
  });

  it('is none where connections last, or were never made', async () => {
    const { client } = await online();
    for (let i = 0; i < 5; i++) {
      time.nowMs += 5_000;
      client.breaks().connects();
    }
    client.breaks();
    for (let i = 0; i < 5; i++) client.breaks();
    expect(FakeClient.all).toHaveLength(1);
    // Right after the start of the process, too, when its clock is young.
    time.nowMs = 1_000;
    for (let i = 0; i < 5; i++) client.breaks();
    expect(FakeClient.all).toHaveLength(1);
    time.nowMs = 1_000_000;
  });

  it('is one where the broker says so, at the next close', async () => {
    const { client } = await online();
    client.emit('packetreceive', { cmd: 'disconnect', reasonCode: 0x8b });
    client.emit('packetreceive', { cmd: 'puback', reasonCode: 0x8e });
    time.nowMs += 60_000;
    client.breaks().connects();
    expect(FakeClient.all).toHaveLength(1);
    client.emit('packetreceive', { cmd: 'disconnect', reasonCode: 0x8e });
    time.nowMs += 60_000;
    client.breaks();
    expect(FakeClient.all).toHaveLength(2);
  });

  it('is of no concern any more once the link is closed', async () => {
    const { client, link } = await online();
    client.emit('packetreceive', { cmd: 'disconnect', reasonCode: 0x8e });
    void link.close();
    client.breaks();
    await pass(10_000);
    expect(FakeClient.all).toHaveLength(1);
  });
});

describe('how a link is closed', () => {
  it('says stopped, retained, and then goodbye', async () => {
    const { client, link } = await online();
    client.outgoing = { 7: 1, 8: 1 };
    await link.close();
    expect(client.published.at(-1)).toMatchObject({
      topic: 's/status',
      text: 'stopped',
      options: { retain: true },
    });
    expect(client.forgotten).toEqual([7, 8]);
    expect(client.ends).toMatchObject([{ force: false }]);
  });

  it('forces the end where it is not connected', async () => {
    const { client, link } = opened();
    await link.close();
    expect(client.published).toEqual([]);
    expect(client.ends).toMatchObject([{ force: true }]);
  });

  it.each([
    ['1 s', 1_000],
    ['60 s', 2_000],
  ])('waits at a timeout of %s twice %i ms at most', async (timeout, patienceMs) => {
    const { client, link } = await online({ timeout });
    client.answers = false;
    let isDone = false;
    void link.close().then(() => {
      isDone = true;
    });
    await pass(patienceMs - 1);
    expect(client.ends).toEqual([]);
    await pass(1);
    expect(client.ends).toMatchObject([{ force: false }]);
    await pass(patienceMs - 1);
    expect(isDone).toBe(false);
    await pass(1);
    expect(isDone).toBe(true);
    expect(client.ends).toMatchObject([{ force: false }, { force: true }]);
    expect(client.stream.isDestroyed).toBe(true);
  });

  it('needs no line for that', async () => {
    const { client, link } = opened();
    Object.assign(client, { answers: false, stream: undefined });
    const closed = link.close();
    await pass(2_000);
    await expect(closed).resolves.toBeUndefined();
  });

  it('leaves nothing waiting behind', async () => {
    const { client, link } = await online();
    await link.close();
    await pass(60_000);
    expect(client.ends).toHaveLength(1);
    expect(client.stream.isDestroyed).toBe(false);
    expect(vi.getTimerCount()).toBe(0);
  });

  it('forgets what was open when the line breaks', async () => {
    const { client } = await online();
    client.outgoing = { 3: 1 };
    client.breaks();
    expect(client.forgotten).toEqual([3]);
  });
});
