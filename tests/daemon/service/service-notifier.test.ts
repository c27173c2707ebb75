import { describe, expect, it } from 'vitest';
import { serviceNotifier } from '../../../daemon/service/service-notifier.ts';
import { scratchFolder } from '../../scratch-site.ts';
import { fakeNotify } from './fake-notify.ts';

describe('serviceNotifier', () => {
  it('passes on what it is told, in order', async () => {
    const { env, calls } = fakeNotify();
    const notifier = serviceNotifier(env, () => undefined);
    notifier.tell('READY=1', 'STATUS=serving');
    notifier.tell('STOPPING=1');
    await notifier.passedOn();
    expect(calls()).toEqual(['READY=1 STATUS=serving', 'STOPPING=1']);
  });

  it('calls nothing where no service manager listens', async () => {
    const { env, calls } = fakeNotify();
    const notifier = serviceNotifier({ ...env, NOTIFY_SOCKET: '' }, () => undefined);
    notifier.tell('READY=1');
    await notifier.passedOn();
    expect(notifier.heard).toBe(false);
    expect(calls()).toEqual([]);
  });

  it('knows how often the watchdog asks, and when it asks another process', () => {
    const { env } = fakeNotify();
    const ask = (more: object) => serviceNotifier({ ...env, ...more }, () => undefined).watchdogMs;
    expect(ask({})).toBeNull();
    expect(ask({ WATCHDOG_USEC: '60000000' })).toBe(60_000);
    expect(ask({ WATCHDOG_USEC: '60000000', WATCHDOG_PID: String(process.pid) })).toBe(60_000);
    expect(ask({ WATCHDOG_USEC: '60000000', WATCHDOG_PID: '1' })).toBeNull();
    expect(ask({ WATCHDOG_USEC: 'soon' })).toBeNull();
  });

  it('says once that the program is not there, and goes on', async () => {
    const faults: Error[] = [];
    const env = { PATH: scratchFolder(), NOTIFY_SOCKET: '/run/invented' };
    const notifier = serviceNotifier(env, (error) => faults.push(error));
    notifier.tell('READY=1');
    notifier.tell('WATCHDOG=1');
    await notifier.passedOn();
    expect(faults.map((error) => error.message)).toEqual([expect.stringContaining('ENOENT')]);
  });
});
