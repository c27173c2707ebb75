import { useCallback, useEffect, useRef, useState } from 'preact/hooks';
import type { MeView } from '../views/change-view.ts';
import type { TodayView } from '../views/today-view.ts';
import { readMe, readToday } from './api.ts';

/** Times to dry move on by themselves: they are read again this often. */
const READ_AGAIN_MS = 60_000;
const TICK_MS = 10_000;
/** What is older than this counts as away, whatever the last answer was. */
const OLD_MS = 150_000;

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
}

/** Reads today and reads it again whenever the daemon says that something changed. */
export function useLive(): Live {
  const [today, setToday] = useState<TodayView | null>(null);
  const [me, setMe] = useState<MeView | null>(null);
  const [away, setAway] = useState(false);
  const [problem, setProblem] = useState<string | null>(null);
  const [mustSignIn, setMustSignIn] = useState(false);
  const [clockMs, setClockMs] = useState(Date.now());
  const readAtMs = useRef(Date.now());

  const read = useCallback(async () => {
    const [who, answer] = await Promise.all([readMe(), readToday()]);
    setClockMs(Date.now());
    if (who.kind === 'well') setMe(who.value);
    setAway(answer.kind === 'away');
    if (answer.kind === 'away') return;
    setMustSignIn(answer.kind === 'refused' && answer.status === 401);
    setProblem(answer.kind === 'refused' ? answer.error.message : null);
    if (answer.kind === 'refused') return;
    readAtMs.current = Date.now();
    setToday(answer.value);
  }, []);

  useEffect(() => {
    void read();
    const again = setInterval(() => void read(), READ_AGAIN_MS);
    const tick = setInterval(() => setClockMs(Date.now()), TICK_MS);
    // A phone lets a page sleep in the pocket: what it shows is old when it comes out.
    const wake = () => {
      if (document.visibilityState === 'visible') void read();
    };
    document.addEventListener('visibilitychange', wake);
    return () => {
      document.removeEventListener('visibilitychange', wake);
      clearInterval(again);
      clearInterval(tick);
    };
  }, [read]);

  useEffect(() => {
    if (mustSignIn) return;
    const events = new EventSource('/api/events');
    events.addEventListener('changed', () => void read());
    // A broken stream is the first sign that the daemon has gone; one reading makes sure of it.
    events.addEventListener('error', () => void read());
    return () => events.close();
  }, [read, mustSignIn]);

  const ageMs = Math.max(0, clockMs - readAtMs.current);
  const nowMs = (today?.nowMs ?? clockMs) + (today === null ? 0 : ageMs);
  return { today, me, nowMs, ageMs, away: away || ageMs > OLD_MS, problem, mustSignIn, read };
}
