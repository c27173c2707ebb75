import type { MeView } from '../views/action-view.ts';
import type { BedView } from '../views/bed-view.ts';
import type { TodayView } from '../views/today-view.ts';

/** What this device keeps of the site, for a page that is opened while the daemon is away. */
export interface CachedSite {
  /** The page that kept it: another build may read another form. */
  build: string;
  /** By this device's clock. */
  readAtMs: number;
  /** When the sign-in under which it was read ends; null where nobody has to sign in. */
  endsAtMs: number | null;
  me: MeView;
  today: TodayView;
}

/** The beds as last read, under the same sign-in. */
interface CachedBeds {
  readAtMs: number;
  views: BedView[];
}

/** As much of a browser's storage as is needed. */
export interface Storage {
  getItem(key: string): string | null;
  setItem(key: string, value: string): void;
  removeItem(key: string): void;
}

/**
 * A mark that a browser drops when it is closed, as it drops the sign-in: what was read under one is
 * not shown to whoever opens the browser next.
 */
export interface SignInMark {
  isThere(): boolean;
  set(): void;
}

/** Keys in the storage. Another page of this device sees by `left` that a person has signed out. */
export const KEYS = {
  site: 'dewbeat-site',
  beds: 'dewbeat-beds',
  left: 'dewbeat-left',
  owed: 'dewbeat-sign-out-owed',
} as const;

/** Keeps the last site view and the beds on this device, for as long as its sign-in lasts. */
export interface SiteCache {
  /** What was kept, if it may still be shown; what may not is deleted. */
  site(nowMs: number): CachedSite | null;
  beds(nowMs: number): BedView[];
  keepSite(kept: Omit<CachedSite, 'build'>): void;
  keepBeds(views: BedView[], readAtMs: number): void;
  /** Deletes everything of the site. */
  forget(): void;
  /** A person signs out: everything is deleted, and the daemon is owed word of it. */
  leave(nowMs: number): void;
  /** Whether a person has left since a reading was asked for: it is shown to nobody then. */
  hasLeftSince(askedAtMs: number, nowMs: number): boolean;
  /** A sign-out that the daemon has not heard of yet. */
  owesSignOut(): boolean;
  /** The daemon has heard of it, or another sign-in has taken its place. */
  signedOut(): void;
}

/** A keeper over a storage; one that refuses (full, forbidden) keeps nothing and says nothing. */
export function siteCache(storage: Storage, mark: SignInMark, build: string): SiteCache {
  const read = <T>(key: string): T | null => {
    try {
      const text = storage.getItem(key);
      return text === null ? null : (JSON.parse(text) as T);
    } catch {
      return null;
    }
  };
  const remove = (key: string) => {
    try {
      storage.removeItem(key);
    } catch {
      // A storage that is forbidden has nothing to remove.
    }
  };
  const write = (key: string, value: unknown) => {
    try {
      storage.setItem(key, JSON.stringify(value));
    } catch {
      // Half of the old beside half of the new is worse than none.
      remove(key);
    }
  };
  const drop = () => {
    remove(KEYS.site);
    remove(KEYS.beds);
  };
  const keeper: SiteCache = {
    site(nowMs) {
      const kept = read<CachedSite>(KEYS.site);
      const isSignedIn = kept?.me.needsPin === false || mark.isThere();
      if (kept !== null && isSignedIn && mayShow(kept, build, nowMs)) return kept;
      drop();
      return null;
    },
    beds(nowMs) {
      return keeper.site(nowMs) === null ? [] : (read<CachedBeds>(KEYS.beds)?.views ?? []);
    },
    keepSite(kept) {
      const { me } = kept;
      if (me.needsPin && (me.name === null || kept.endsAtMs === null)) return drop();
      // Beds that another person has read are not this one's.
      if (read<CachedSite>(KEYS.site)?.me.name !== me.name) remove(KEYS.beds);
      if (me.needsPin) mark.set();
      write(KEYS.site, { ...kept, build });
    },
    keepBeds(views, readAtMs) {
      if (keeper.site(readAtMs) !== null) write(KEYS.beds, { views, readAtMs });
    },
    forget: drop,
    leave(nowMs) {
      drop();
      write(KEYS.owed, true);
      write(KEYS.left, nowMs);
    },
    hasLeftSince(askedAtMs, nowMs) {
      const leftMs = read<number>(KEYS.left);
      // A time to come is that of a clock that was wrong.
      return leftMs !== null && leftMs > askedAtMs && leftMs <= nowMs;
    },
    owesSignOut: () => read<boolean>(KEYS.owed) === true,
    signedOut: () => remove(KEYS.owed),
  };
  return keeper;
}

/** Read by this very page, not in a time to come, under a sign-in that has not ended. */
export function mayShow(kept: CachedSite, build: string, nowMs: number): boolean {
  if (kept.build !== build || kept.readAtMs > nowMs) return false;
  return kept.endsAtMs === null || nowMs < kept.endsAtMs;
}
