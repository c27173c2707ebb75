export const HOUR_MS = 3_600_000;

/**
 * The hours that a request asks for: they begin at `firstMs`, an hour later, and so on. Where the
 * hours begin is the asker's choice, so that zones that stand half an hour beside UTC can have the
 * full hours of their own clock.
 */
export interface HourGrid {
  firstMs: number;
  /** The hours end before or at this. */
  endMs: number;
  /** Beginning of the hour that an instant is in. */
  hourOf(instantMs: number): number;
}

export function hourGrid(fromMs: number, toMs: number): HourGrid {
  return {
    firstMs: fromMs,
    endMs: toMs,
    hourOf: (instantMs) => fromMs + Math.floor((instantMs - fromMs) / HOUR_MS) * HOUR_MS,
  };
}

/** Every whole hour of the grid, in order. */
export function hoursOf({ firstMs, endMs }: HourGrid): number[] {
  const hours: number[] = [];
  for (let startMs = firstMs; startMs + HOUR_MS <= endMs; startMs += HOUR_MS) hours.push(startMs);
  return hours;
}
