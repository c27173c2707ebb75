import { describe, expect, it } from 'vitest';
import {
  attempts,
  CLIENT_BUDGET,
  pinQueue,
} from '../../../../daemon/faces/web/safety/pin-attempts.ts';
import { addressGroup } from '../../../../daemon/faces/web/safety/request-origin.ts';
import { knownDevices } from '../../../../daemon/faces/web/safety/sessions.ts';

describe('the queue of PINs', () => {
  /** Work that ends when the test says so. */
  function held() {
    let open = () => {};
    const gate = new Promise<void>((done) => {
      open = done;
    });
    return { gate, open };
  }

  it('does one at a time, those ahead first, in their order', async () => {
    const queue = pinQueue();
    const order: string[] = [];
    const first = held();
    const enter = (name: string, isAhead: boolean, group = name) =>
      queue.enter({ isAhead, group }, async () => {
        if (name === 'first') await first.gate;
        order.push(name);
        return name;
      });
    const all = [
      enter('first', false),
      enter('new a', false),
      enter('known a', true),
      enter('new b', false),
      enter('known b', true),
    ];
    await Promise.resolve();
    expect(order).toEqual([]);
    expect(queue.waiting()).toBe(4);
    first.open();
    await Promise.all(all);
    expect(order).toEqual(['first', 'known a', 'known b', 'new a', 'new b']);
    expect(queue.waiting()).toBe(0);
  });

  it('goes on after work that failed', async () => {
    const queue = pinQueue();
    const place = { isAhead: false, group: 'a' };
    await expect(
      queue.enter(place, () => {
        throw new Error('an invented fault');
      }),
    ).rejects.toThrow('an invented fault');
    expect(await queue.enter(place, async () => 7)).toBe(7);
  });

  it('is bounded, and makes room for those who have less of it', async () => {
    const queue = pinQueue();
    const first = held();
    const enter = (group: string, isAhead = false) =>
      queue.enter({ isAhead, group }, async () => {
        await first.gate;
        return group;
      });
    const crowd = Array.from({ length: 200 }, () => enter('crowd'));
    expect(queue.waiting()).toBe(24);
    const single = enter('single');
    const known = Array.from({ length: 200 }, () => enter('known', true));
    expect(queue.waiting()).toBe(124);
    first.open();
    expect(await single).toBe('single');
    const served = (answers: (string | null)[]) => answers.filter((one) => one !== null).length;
    expect(served(await Promise.all(crowd))).toBe(24);
    expect(served(await Promise.all(known))).toBe(100);
  });
});

describe('wrong PINs that are counted', () => {
  const one = [{ key: 'a', budget: CLIENT_BUDGET }];

  it('wait twice as long each time, to a quarter of an hour, and are forgotten after an hour', () => {
    const tries = attempts();
    const waits = Array.from({ length: 16 }, (_, at) => {
      tries.failed(one, at);
      return Math.round(tries.waitMs(one, at) / 1000);
    });
    expect(waits.slice(0, 6)).toEqual([0, 0, 2, 4, 8, 16]);
    expect(waits.at(-1)).toBe(900);
    expect(tries.waitMs(one, 3_600_100)).toBe(0);
  });

  it('count for nothing once they are taken back', () => {
    const tries = attempts();
    for (let at = 0; at < 3; at++) tries.failed(one, 0);
    const takeBack = tries.failed(one, 5_000);
    takeBack();
    expect(tries.waitMs(one, 1_999)).toBe(1);
    expect(tries.waitMs(one, 5_000)).toBe(0);
  });

  it('fill no memory', () => {
    const tries = attempts();
    for (let at = 0; at < 30_000; at++) tries.failed([{ key: `${at}`, budget: CLIENT_BUDGET }], at);
    expect(tries.size()).toBe(10_000);
  });
});

describe('devices that are known', () => {
  const keeper = { name: 'A. Keeper', pin: 'hash 1' };

  it('are forgotten with the person, or with another PIN', () => {
    const devices = knownDevices();
    const token = devices.remember(undefined, keeper);
    expect(devices.find(token, 'a. keeper')).not.toBeNull();
    expect(devices.find(token, 'B. Watcher')).toBeNull();
    devices.follow([keeper]);
    expect(devices.find(token, keeper.name)).not.toBeNull();
    devices.follow([{ ...keeper, pin: 'hash 2' }]);
    expect(devices.find(token, keeper.name)).toBeNull();
  });

  it('serve several people by one token, and the oldest of a person goes first', () => {
    const devices = knownDevices();
    const token = devices.remember(undefined, keeper);
    const other = { name: 'B. Watcher', pin: 'hash 3' };
    expect(devices.remember(token, other)).toBe(token);
    expect(devices.find(token, keeper.name)).not.toBeNull();
    for (let at = 0; at < 20; at++) devices.remember(undefined, keeper);
    expect(devices.find(token, keeper.name)).toBeNull();
    expect(devices.find(token, other.name)).not.toBeNull();
  });
});

it.each([
  ['192.0.2.7', '192.0.2.7'],
  ['::ffff:192.0.2.7', '192.0.2.7'],
  ['2001:db8:0:7:1:2:3:4', '2001:db8:0:7::/64'],
  ['2001:db8:0:7::9', '2001:db8:0:7::/64'],
  ['2001:0db8::1', '2001:db8:0:0::/64'],
  ['fe80::1%eth0', 'fe80:0:0:0::/64'],
  ['::1', '0:0:0:0::/64'],
])('attempts from %s count for %s', (ip, group) => {
  expect(addressGroup(ip)).toBe(group);
});
