import type { SiteClock } from '../site-clock.ts';

export const HOUR_MS = 3_600_000;

/** The hours that a request asks for, on the site's clock face. */
export interface HourGrid {
  /** Beginning of the first hour that begins inside the request. */
  firstMs: number;
  /** The hours end before or at this. */
  endMs: number;
  /** Beginning of the hour that an instant is in. */
  hourOf(instantMs: number): number;
}

/**
 * Hours begin where the site's clock shows a full hour, also in zones that stand half an hour
 * beside UTC. One request keeps one grid, so that hours never overlap.
 */
export function hourGrid(clock: SiteClock, fromMs: number, toMs: number): HourGrid {
  const minuteMs = clock.localOf(fromMs).minute * 60_000 + (((fromMs % 60_000) + 60_000) % 60_000);
  const anchorMs = fromMs - minuteMs;
  const hourOf = (instantMs: number) =>
    anchorMs + Math.floor((instantMs - anchorMs) / HOUR_MS) * HOUR_MS;
  return { firstMs: minuteMs === 0 ? fromMs : anchorMs + HOUR_MS, endMs: toMs, hourOf };
}

/** Every hour of the grid, in order. */
export function hoursOf({ firstMs, endMs }: HourGrid): number[] {
  const hours: number[] = [];
  for (let startMs = firstMs; startMs < endMs; startMs += HOUR_MS) hours.push(startMs);
  return hours;
}
