/** A stop as somebody asks for it. */
export interface StopRequest {
  beds: 'all' | string[];
  who: string;
  why: string;
  untilMs: number | null;
}

const MOST_BEDS = 2_000;
const MOST_ID = 64;
const MOST_WHO = 60;
const MOST_WHY = 200;

/**
 * Reads a stop. What is wrong with a name, a reason or a time does not keep it from being carried
 * out: only which beds are meant has to be clear.
 *
 * @returns The stop, or in words what is wrong with it.
 */
export function readStopRequest(text: string): StopRequest | string {
  let value: unknown;
  try {
    value = JSON.parse(text);
  } catch {
    return 'is no JSON; send {"beds":"all"}';
  }
  if (typeof value !== 'object' || value === null || Array.isArray(value)) {
    return 'is no map; send {"beds":"all"}';
  }
  const { beds, who, why, untilMs } = value as Record<string, unknown>;
  const named = Array.isArray(beds) ? beds.filter(isBedId).slice(0, MOST_BEDS) : [];
  if (beds !== 'all' && named.length === 0) return 'beds: is missing; name the beds, or write all';
  return {
    beds: beds === 'all' ? 'all' : named,
    who: words(who, MOST_WHO),
    why: words(why, MOST_WHY) || 'no reason given',
    untilMs: typeof untilMs === 'number' && Number.isSafeInteger(untilMs) ? untilMs : null,
  };
}

/**
 * Under which name a stop is written down: whoever has signed in, else whoever was given, marked
 * where people sign in and this one has not. Null: only those who have signed in may stop water here.
 */
export function whoStops(asking: {
  person: string | null;
  given: string;
  address: string;
  hasPeople: boolean;
  stopByAnyone: boolean;
}): string | null {
  const { person, given, address, hasPeople, stopByAnyone } = asking;
  if (person !== null) return person;
  if (!hasPeople) return given === '' ? 'someone at the page' : given;
  if (!stopByAnyone) return null;
  return given === '' ? `someone at ${address}` : `${given} (not signed in, ${address})`;
}

function isBedId(value: unknown): value is string {
  return typeof value === 'string' && value.length > 0 && value.length <= MOST_ID;
}

function words(value: unknown, most: number): string {
  if (typeof value !== 'string') return '';
  // Marks that turn a line round or steer a terminal are no part of a name or a reason.
  return value
    .replace(/[\p{Cc}\p{Cf}\s]+/gu, ' ')
    .trim()
    .slice(0, most)
    .trim();
}
