import { BRIDGE_H, silentHour } from './missing-weather.ts';
import type { RawHour } from './weather-hour.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** Weather of more than three days ago says nothing about today. */
const MOST_DAYS_BACK = 3;

/**
 * Hours without a gap from `fromMs` to `toMs` where possible: an hour that no source gave takes the
 * same hour of the day before (or up to three days before), marked `carried`; where there is none
 * either, the usual hour of the month.
 *
 * A silence of up to 3 h between two hours that were told is left silent, whether its rows are missing
 * or empty: the hours around it know it better than yesterday's, and it is bridged from them.
 *
 * Persistence is the plainest forecast there is; a plan that uses it says so. Rain is not carried: a
 * shower of yesterday foretells none for the same hour of today, and a bed that waits for it dries.
 *
 * @param hours Raw hours in order, on the same hour grid; earlier ones are what is carried.
 * @param request Whole hours on that grid; `usual`: hours of a usual day, on the same grid.
 * @returns The hours asked for, in order; an hour for which nothing stands in is left out.
 */
export function carriedHours(
  hours: readonly RawHour[],
  request: { fromMs: number; toMs: number; usual?: readonly RawHour[] },
): RawHour[] {
  const known = new Map(hours.map((hour) => [hour.startMs, hour]));
  const usual = new Map((request.usual ?? []).map((hour) => [hour.startMs, hour]));
  const tempered = new Map(
    hours.filter((hour) => hour.airTempC !== null).map((hour) => [hour.startMs, hour]),
  );
  const complete: RawHour[] = [];
  for (let startMs = request.fromMs; startMs < request.toMs; startMs += HOUR_MS) {
    const told = known.get(startMs) ?? bridge(tempered, startMs) ?? carried(known, startMs);
    if (told !== null) known.set(startMs, told);
    const hour = told ?? usual.get(startMs);
    if (hour !== undefined) complete.push(hour);
  }
  return complete;
}

/** A silent hour between two of the same short silence, or null: it is longer, or has an open end. */
function bridge(tempered: ReadonlyMap<number, RawHour>, startMs: number): RawHour | null {
  for (let back = 1; back <= BRIDGE_H; back++) {
    const before = tempered.get(startMs - back * HOUR_MS);
    if (before === undefined) continue;
    for (let on = 1; back + on <= BRIDGE_H + 1; on++) {
      if (tempered.has(startMs + on * HOUR_MS)) return silentHour(startMs, before);
    }
    return null;
  }
  return null;
}

function carried(known: ReadonlyMap<number, RawHour>, startMs: number): RawHour | null {
  for (let days = 1; days <= MOST_DAYS_BACK; days++) {
    const earlier = known.get(startMs - days * DAY_MS);
    // Without a temperature an hour could not be filled where it is carried to.
    if (earlier !== undefined && earlier.airTempC !== null) {
      return { ...earlier, startMs, origin: 'carried', rainMm: 0 };
    }
  }
  return null;
}
