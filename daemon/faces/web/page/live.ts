import { useCallback, useEffect, useRef, useState } from 'preact/hooks';
import type { MeView } from '../views/action-view.ts';
import type { TodayView } from '../views/today-view.ts';
import { readBeds, readMe, readToday, signOut } from './api.ts';
import { KEYS } from './site-cache.ts';
import { device } from './this-device.ts';

/** Times to dry move on by themselves: they are read again this often. */
const READ_AGAIN_MS = 60_000;
const TICK_MS = 10_000;
/** What is older than this counts as away, whatever the last answer was. */
const OLD_MS = 150_000;
/** A daemon that has said nothing for so long may be away: what was kept is shown meanwhile. */
const FIRST_PATIENCE_MS = 3_000;

/** What the page knows, how old it is, and whether the daemon still answers. */
export interface Live {
  today: TodayView | null;
  me: MeView | null;
  /** The daemon's clock, carried on since it was last heard. */
  nowMs: number;
  ageMs: number;
  /** The daemon does not answer, or what is shown is too old to act on. */
  away: boolean;
  /** A refusal of the last reading, in the daemon's words. */
  problem: string | null;
  mustSignIn: boolean;
  read(): Promise<void>;
  /** Signs out: nothing of the site stays on this device, whether or not the daemon answers. */
  leave(): Promise<void>;
}

/** What was read last, under which sign-in. */
interface Reading {
  me: MeView | null;
  today: TodayView | null;
  /** Both by this device's clock. */
  readAtMs: number;
  endsAtMs: number | null;
}

const NOTHING: Omit<Reading, 'readAtMs'> = { me: null, today: null, endsAtMs: null };

/** Reads today and reads it again whenever the daemon says that something changed. */
export function useLive(): Live {
  const [reading, setReading] = useState<Reading>({ ...NOTHING, readAtMs: Date.now() });
  const [away, setAway] = useState(false);
  const [problem, setProblem] = useState<string | null>(null);
  const [mustSignIn, setMustSignIn] = useState(false);
  const [clockMs, setClockMs] = useState(Date.now());
  /** Version of the last reading that went well; null when the last one did not. */
  const shown = useRef<string | null>(null);
  const pending = useRef<Promise<void>>(Promise.resolve());
  /** Readings are counted as they are asked for; a slow one must not cover what a later one brought. */
  const asked = useRef(0);
  /** Place of the newest that was answered, well or badly; 0: nothing was yet. */
  const heard = useRef(0);

  /** Nobody is signed in here any more: nothing of the site is shown or kept. */
  const forget = useCallback((me: MeView | null = null) => {
    device.forget();
    setReading({ ...NOTHING, me, readAtMs: Date.now() });
    setMustSignIn(true);
  }, []);

  /** The daemon is away: what is shown stays, or what was kept is shown, while its sign-in lasts. */
  const showKept = useCallback(() => {
    setAway(true);
    const nowMs = Date.now();
    const kept = device.site(nowMs);
    setReading((before) => {
      if (before.today !== null && (before.endsAtMs === null || nowMs < before.endsAtMs)) {
        return before;
      }
      return kept ?? { ...NOTHING, me: before.me, readAtMs: nowMs };
    });
  }, []);

  const readOnce = useCallback(async () => {
    const askedAtMs = Date.now();
    asked.current += 1;
    const place = asked.current;
    if (device.owesSignOut()) {
      const outcome = await signOut();
      if (outcome.kind === 'away') {
        setAway(true);
        return forget();
      }
      device.signedOut();
    }
    const [who, answer] = await Promise.all([readMe(), readToday()]);
    if (place < heard.current) return;
    heard.current = place;
    shown.current = null;
    const readAtMs = Date.now();
    setClockMs(readAtMs);
    if (device.hasLeftSince(askedAtMs, readAtMs)) return;
    if (answer.kind === 'away') return showKept();
    setAway(false);
    setProblem(answer.kind === 'refused' ? answer.error.message : null);
    if (answer.kind === 'refused') {
      if (answer.status === 401) forget(who.kind === 'well' ? who.value : null);
      return;
    }
    setMustSignIn(false);
    const today = answer.value;
    shown.current = today.version;
    setReading((before) => {
      if (who.kind !== 'well') return { ...before, today, readAtMs };
      const { leftMs } = who.value;
      return {
        me: who.value,
        today,
        readAtMs,
        endsAtMs: leftMs === null ? null : readAtMs + leftMs,
      };
    });
  }, [forget, showKept]);

  const read = useCallback(() => {
    pending.current = readOnce();
    return pending.current;
  }, [readOnce]);

  const leave = useCallback(async () => {
    device.leave(Date.now());
    forget();
    await read();
  }, [forget, read]);

  useEffect(() => {
    void read();
    const impatient = setTimeout(() => {
      if (heard.current === 0) showKept();
    }, FIRST_PATIENCE_MS);
    const again = setInterval(() => void read(), READ_AGAIN_MS);
    const tick = setInterval(() => setClockMs(Date.now()), TICK_MS);
    // A phone lets a page sleep in the pocket: what it shows is old when it comes out.
    const wake = () => {
      if (document.visibilityState === 'visible') void read();
    };
    // Another page of this device: a person has left there, and with that here too.
    const left = ({ key }: StorageEvent) => {
      if (key === KEYS.left) forget();
    };
    document.addEventListener('visibilitychange', wake);
    window.addEventListener('storage', left);
    return () => {
      document.removeEventListener('visibilitychange', wake);
      window.removeEventListener('storage', left);
      clearTimeout(impatient);
      clearInterval(again);
      clearInterval(tick);
    };
  }, [forget, read, showKept]);

  useEffect(() => {
    if (mustSignIn) return;
    const events = new EventSource('/api/events');
    const changed = async ({ data }: MessageEvent<string>) => {
      // What is on its way may know of it already, as it does when the page has just been opened.
      await pending.current;
      if ((JSON.parse(data) as { version: string }).version !== shown.current) await read();
    };
    events.addEventListener('changed', (event) => void changed(event));
    // A broken stream is the first sign that the daemon has gone; one reading makes sure of it.
    events.addEventListener('error', () => void read());
    return () => events.close();
  }, [read, mustSignIn]);

  const { today, me, readAtMs } = reading;
  useEffect(() => {
    if (reading.today !== null && reading.me !== null && !away) {
      const { me: keptMe, today: keptToday } = reading;
      device.keepSite({ ...reading, me: keptMe, today: keptToday });
    }
  }, [reading, away]);
  useCachedBeds(away || mustSignIn ? null : (today?.version ?? null));

  const ageMs = Math.max(0, clockMs - readAtMs);
  const nowMs = (today?.nowMs ?? clockMs) + (today === null ? 0 : ageMs);
  const isAway = away || ageMs > OLD_MS;
  return { today, me, nowMs, ageMs, away: isAway, problem, mustSignIn, read, leave };
}

/** Rows come in crowds: the beds are read once they have settled, and never before the first view. */
const SETTLE_MS = 4_000;

/**
 * Reads all beds when something has changed and keeps them on this device.
 *
 * @param version Of today as last read; null while nothing may be kept.
 */
function useCachedBeds(version: string | null): void {
  useEffect(() => {
    if (version === null) return;
    let isCurrent = true;
    const timer = setTimeout(async () => {
      const askedAtMs = Date.now();
      const outcome = await readBeds();
      const nowMs = Date.now();
      if (!isCurrent || outcome.kind !== 'well' || device.hasLeftSince(askedAtMs, nowMs)) return;
      device.keepBeds(outcome.value.beds, nowMs);
    }, SETTLE_MS);
    return () => {
      isCurrent = false;
      clearTimeout(timer);
    };
  }, [version]);
}
