import { describe, expect, it } from 'vitest';
import { KEYS, siteCache } from '../../../../../daemon/faces/web/page/site-cache.ts';
import type { BedView } from '../../../../../daemon/faces/web/views/bed-view.ts';
import type { TodayView } from '../../../../../daemon/faces/web/views/today-view.ts';

const NOW_MS = Date.parse('2026-07-01T09:10:00Z');
const HOUR_MS = 3_600_000;
const COMMON = { role: 'keeper', language: 'en', names: [], stopByAnyone: true } as const;
const NOBODY = { ...COMMON, needsPin: false, name: null, leftMs: null } as const;
const KEEPER = { ...COMMON, needsPin: true, name: 'A. Keeper', leftMs: 1 } as const;

/** Of what is kept only the name is looked at here. */
const today = { version: '1' } as TodayView;
const bed = { bed: { id: 'green-1' } } as BedView;

function device(build = 'one', values = new Map<string, string>()) {
  const storage = {
    getItem: (key: string) => values.get(key) ?? null,
    setItem: (key: string, value: string) => void values.set(key, value),
    removeItem: (key: string) => void values.delete(key),
  };
  const browser = { isMarked: false };
  const mark = {
    isThere: () => browser.isMarked,
    set() {
      browser.isMarked = true;
    },
  };
  return { values, storage, mark, browser, keeper: siteCache(storage, mark, build) };
}

const read = (endsAtMs: number | null = NOW_MS + HOUR_MS, name = 'A. Keeper') => ({
  readAtMs: NOW_MS,
  endsAtMs,
  me: endsAtMs === null ? { ...NOBODY, names: [] } : { ...KEEPER, name, names: [] },
  today,
});

describe('what a device keeps of the site', () => {
  it.each([
    ['at once', 0, true],
    ['a minute before its sign-in ends', HOUR_MS - 60_000, true],
    ['when its sign-in ends', HOUR_MS, false],
    ['by a clock that was set back', -1, false],
  ])('%s is shown or deleted', (_, laterMs, isShown) => {
    const { keeper, values } = device();
    keeper.keepSite(read());
    keeper.keepBeds([bed], NOW_MS);
    expect(keeper.site(NOW_MS + laterMs) !== null).toBe(isShown);
    expect(keeper.beds(NOW_MS + laterMs)).toHaveLength(isShown ? 1 : 0);
    expect(values.size > 0).toBe(isShown);
  });

  it('is shown for days where nobody has to sign in', () => {
    const { keeper } = device();
    keeper.keepSite(read(null));
    expect(keeper.site(NOW_MS + 72 * HOUR_MS)?.today).toEqual(today);
  });

  it('goes when the browser was closed, and with that the sign-in', () => {
    const { keeper, browser, values } = device();
    keeper.keepSite(read());
    browser.isMarked = false;
    expect(keeper.site(NOW_MS)).toBeNull();
    expect(values.size).toBe(0);
    keeper.keepSite(read(null));
    expect(keeper.site(NOW_MS)).not.toBeNull();
  });

  it('is not read by another build of the page', () => {
    const { values, keeper } = device('one');
    keeper.keepSite(read());
    expect(device('two', values).keeper.site(NOW_MS)).toBeNull();
    expect(values.size).toBe(0);
  });

  it('is never that of people of whom none has signed in', () => {
    const { keeper, values } = device();
    keeper.keepSite(read());
    keeper.keepSite({ ...read(), me: { ...KEEPER, name: null, names: [] } });
    expect(values.size).toBe(0);
  });

  it('leaves no beds of one person to the next', () => {
    const { keeper } = device();
    keeper.keepSite(read());
    keeper.keepBeds([bed], NOW_MS);
    keeper.keepSite(read(NOW_MS + HOUR_MS, 'B. Keeper'));
    expect(keeper.beds(NOW_MS)).toEqual([]);
  });

  it('goes with a person who leaves, and what was asked for before counts no more', () => {
    const { keeper, values } = device();
    keeper.keepSite(read());
    keeper.keepBeds([bed], NOW_MS);
    keeper.leave(NOW_MS + 1000);
    expect([...values.keys()].toSorted()).toEqual([KEYS.left, KEYS.owed]);
    expect(keeper.hasLeftSince(NOW_MS, NOW_MS + 2000)).toBe(true);
    expect(keeper.hasLeftSince(NOW_MS + 1500, NOW_MS + 2000)).toBe(false);
    keeper.keepBeds([bed], NOW_MS + 2000);
    expect(values.has(KEYS.beds)).toBe(false);
    expect(keeper.owesSignOut()).toBe(true);
    keeper.signedOut();
    expect(keeper.owesSignOut()).toBe(false);
  });

  it('is nothing where the storage is full or forbidden', () => {
    const { storage, mark, values } = device();
    const full = siteCache(
      {
        ...storage,
        setItem() {
          throw new Error('full');
        },
      },
      mark,
      'one',
    );
    full.keepSite(read());
    expect(full.site(NOW_MS)).toBeNull();
    const forbidden = siteCache(
      {
        getItem() {
          throw new Error('forbidden');
        },
        setItem() {
          throw new Error('forbidden');
        },
        removeItem() {
          throw new Error('forbidden');
        },
      },
      mark,
      'one',
    );
    forbidden.keepSite(read());
    expect(forbidden.site(NOW_MS)).toBeNull();
    values.set(KEYS.site, '{ "half of');
    expect(device('one', values).keeper.site(NOW_MS)).toBeNull();
  });
});
