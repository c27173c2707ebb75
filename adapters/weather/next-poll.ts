const FIRST_PAUSE_S = 60;
const LONGEST_PAUSE_S = 3600;

/**
 * Seconds until an address is asked again: the poll interval after an answer; after faults a
 * minute, then twice as long each time up to an hour, never longer than the poll interval, and
 * never sooner than the server asked for.
 */
export function nextPollS(given: {
  pollS: number;
  faults: number;
  retryAfterS: number | null;
}): number {
  const { pollS, faults, retryAfterS } = given;
  if (faults === 0) return pollS;
  const pauseS = Math.min(FIRST_PAUSE_S * 2 ** Math.min(faults - 1, 10), LONGEST_PAUSE_S, pollS);
  return Math.max(pauseS, Math.min(retryAfterS ?? 0, 86_400));
}
