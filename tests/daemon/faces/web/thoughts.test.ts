import { describe, expect, it } from 'vitest';
import { siteNowReader } from '../../../../daemon/faces/web/views/view-context.ts';
import type { Reckoner } from '../../../../daemon/service/reckoner/reckoner.ts';
import { turnQueue } from '../../../../daemon/service/reckoner/turns.ts';
import { readerOf } from '../../../../daemon/words/plan-words.ts';
import { HOST, pageRig } from './page-rig.ts';

const CALL = { kind: 'call', hotterK: 2, windFraction: 1, cloudierFraction: 0 };

/** A page whose reckoner answers in turns, each when the test says so. */
async function slowPage() {
  const turns = turnQueue();
  const ends: (() => void)[] = [];
  const askers: (string | undefined)[] = [];
  const shown = { beds: [] };
  const reckoner: Reckoner = {
    ask: (_, __, asker) => {
      askers.push(asker);
      return turns.take(
        { rank: 2, key: asker ?? null },
        () => new Promise((resolve) => ends.push(() => resolve(shown as never))),
      );
    },
    stop: () => undefined,
  };
  const { app } = await pageRig((config) => config, { reckoner });
  const preview = async (remoteAddress: string) => {
    const { statusCode, body } = await app.inject({
      method: 'POST',
      url: '/api/preview',
      remoteAddress,
      headers: { host: HOST, origin: `http://${HOST}`, 'x-dewbeat': '1' },
      payload: { change: CALL },
    });
    return { status: statusCode, code: (JSON.parse(body) as { code?: string }).code ?? null };
  };
  /** Asks them all, waits until each has got its place, and then lets every one come to its end. */
  const previews = async (addresses: readonly string[]) => {
    const asked = addresses.map(preview);
    while (askers.length < addresses.length) await pause();
    while (!turns.isIdle()) {
      for (const end of ends.splice(0)) end();
      await pause();
    }
    return Promise.all(asked);
  };
  return { askers, previews };
}

const pause = () => new Promise((resolve) => setImmediate(resolve));

describe('previews', () => {
  it('of one address: one is under way, one waits, and a newer one takes its place', async () => {
    const { askers, previews } = await slowPage();
    const newer = { status: 409, code: 'newer_asked' };
    const shown = { status: 200, code: null };
    const all = await previews(Array.from({ length: 5 }, () => '127.0.0.1'));
    expect(all).toEqual([shown, newer, newer, newer, shown]);
    expect(new Set(askers)).toEqual(new Set(['127.0.0.1']));
  });

  it('of many: so many wait, the others are told to try again', async () => {
    const { previews } = await slowPage();
    const all = await previews(Array.from({ length: 40 }, (_, index) => `127.0.1.${index}`));
    const busy = { status: 429, code: 'too_busy' };
    expect(all.slice(33)).toEqual(Array.from({ length: 7 }, () => busy));
    expect(all.slice(0, 33).every(({ status }) => status === 200)).toBe(true);
  });
});

describe('how the beds stand', () => {
  it('is not waited for: a page is answered without it, and soon with what is known', async () => {
    const rig = await pageRig();
    await rig.plan();
    const { db, config, weather, clock } = rig;
    const reader = readerOf(config);
    let isSlow = false;
    const real = siteNowReader({ db, config, weather, now: () => clock.nowMs });
    const { now: known } = await real(reader);
    const reckoner: Reckoner = {
      ask: () => (isSlow ? new Promise(() => undefined) : Promise.resolve(known as never)),
      stop: () => undefined,
    };
    const read = siteNowReader({ db, config, weather, now: () => clock.nowMs, reckoner });
    expect((await read(reader)).now).toBe(known);
    isSlow = true;
    clock.nowMs += 60_000;
    expect(await read(reader)).toMatchObject({ now: known, nowFault: null });
    clock.nowMs += 10 * 60_000;
    expect(await read(reader)).toMatchObject({
      now: null,
      nowFault: 'beds: how they stand is still being worked out; look again in a moment',
    });
  });
});
