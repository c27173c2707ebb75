import { useEffect } from 'preact/hooks';
import { readBeds } from './api.ts';
import { device } from './this-device.ts';

/** Rows come in crowds: the beds are read once they have settled, and never before the first view. */
const SETTLE_MS = 4_000;

/**
 * Reads all beds when something has changed and keeps them on this device.
 *
 * @param version Of today as last read; null while nothing may be kept.
 */
export function useKeptBeds(version: string | null): void {
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
