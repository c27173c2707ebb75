import type { OpenNews } from '../store/news.ts';

const FIRST_WAIT_MS = 5_000;
export const MOST_NEWS_TRIES = 5;
/** Older news is none any more. */
export const NEWS_VALID_MS = 3_600_000;

/**
 * The news that a listener is to hear now, or null: the oldest that is still news, has tries left,
 * and whose wait of 5, 10, 20, 40 s is over. One at a time, so that a listener that is away costs
 * little. Pure.
 */
export function nextNews(open: readonly OpenNews[], nowMs: number): OpenNews | null {
  return (
    open.find(({ atMs, tries, lastTryMs }) => {
      if (tries >= MOST_NEWS_TRIES || Math.abs(nowMs - atMs) > NEWS_VALID_MS) return false;
      if (lastTryMs === null) return true;
      const waitedMs = nowMs - lastTryMs;
      // A clock that was stepped back must not stretch the wait.
      return waitedMs < 0 || waitedMs >= FIRST_WAIT_MS * 2 ** (tries - 1);
    }) ?? null
  );
}
