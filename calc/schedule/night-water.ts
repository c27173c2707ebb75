import type { StageName } from '../growth/stages.ts';

/** Which exceptions to "no water at night" a site takes. */
export interface NightWater {
  /** Beds that a wind above the limit, all night, would empty before the morning. */
  dryWind: boolean;
  /** Beds in the first night after seeding. */
  firstNight: boolean;
  /** When beds with roots may be refilled deeply in the site day; null: not at all. */
  deepRefill: { startMs: number; endMs: number } | null;
}

/** The exception that a cycle at night stands for. */
export type NightException = 'dry_wind' | 'first_night' | 'deep_refill';

/** Stages whose roots reach what a deep refill wets. */
const DEEP_STAGES: readonly StageName[] = ['first_mow', 'knitting'];

/**
 * A part of the night within one site day: from midnight to the first start, or from sunset to
 * midnight. A plan ends with its site day, so that the night is shared by two plans.
 */
export interface NightPart {
  startMs: number;
  endMs: number;
  /** The first start that ends the night: what is given must last until then. */
  untilMs: number;
}

/** The two parts of the night that lie in a site day, as far as they are still to come. */
export function nightParts(day: {
  firstRunMs: number;
  sunsetMs: number | null;
  nextDayStartMs: number;
  window: { firstStartMs: number; lastEndMs: number; nextFirstStartMs: number };
}): { early: NightPart; late: NightPart } {
  const { firstRunMs, sunsetMs, nextDayStartMs, window } = day;
  return {
    early: { startMs: firstRunMs, endMs: window.firstStartMs, untilMs: window.firstStartMs },
    late: {
      startMs: Math.max(firstRunMs, window.lastEndMs, sunsetMs ?? window.lastEndMs),
      endMs: nextDayStartMs,
      untilMs: window.nextFirstStartMs,
    },
  };
}

/** Whether the wind is above the limit in every hour of a part, and there is an hour at all. */
export function isWindyAllNight(
  part: NightPart,
  isWindyAt: (instantMs: number) => boolean,
): boolean {
  if (part.startMs >= part.untilMs) return false;
  for (let atMs = part.startMs; atMs < part.untilMs; atMs += HOUR_MS) {
    if (!isWindyAt(atMs)) return false;
  }
  return isWindyAt(part.untilMs - 1);
}

/** Whether a bed may be refilled deeply. */
export function takesDeepRefill(stage: StageName): boolean {
  return DEEP_STAGES.includes(stage);
}

/** Whether a part of the night belongs to the first night after seeding on a site day. */
export function isFirstNight(
  seededOn: string | null,
  siteDay: string,
  part: 'early' | 'late',
): boolean {
  if (seededOn === null) return false;
  if (part === 'late') return seededOn === siteDay;
  return Date.parse(siteDay) - Date.parse(seededOn) === 24 * HOUR_MS;
}

const HOUR_MS = 3_600_000;
