import { checkedHours } from '../../calc/sky/weather-checks.ts';
import type { RawHour } from '../../calc/sky/weather-hour.ts';
import { HOUR_MS } from './hour-grid.ts';
import { drawTogether } from './problems.ts';
import {
  type SourceStanding,
  type WeatherContext,
  type WeatherProblem,
  type WeatherReading,
  type WeatherRequest,
  type WeatherSource,
  WeatherUnreadable,
} from './source.ts';

/** What a source is there for; `any`: as it tells its hours itself. */
export type PartRole = 'any' | 'observed' | 'forecast' | 'usual';

/** A source among others. */
export interface WeatherPart {
  source: WeatherSource;
  role: PartRole;
  /** Older than this it is stale; null: never. */
  staleAfterS: number | null;
  /** Whether its observed hours are held against each other. */
  checked: boolean;
}

/** What one part gave to a request. */
interface PartReading {
  part: WeatherPart;
  reading: WeatherReading | null;
  standing: SourceStanding;
}

/** Observed hours come before forecast ones; of two of a kind the part that is named first. */
const RANK = { observed: 0, forecast: 1, carried: 2, usual: 3 } as const;
/** As long a silence of the temperature can be bridged; hours of a longer one are no hours. */
const BRIDGE_H = 3;

/**
 * Several sources as one: observed hours replace forecast ones, each hour says who told it and how
 * young that was, a stale source tells nothing of now or later, and a usual day of the month waits
 * for hours that nobody tells. One source that cannot be read does not silence the others.
 */
export function combinedSource(
  parts: readonly WeatherPart[],
  context: Pick<WeatherContext, 'clock'>,
): WeatherSource {
  return {
    kind: parts.map(({ source }) => source.kind).join(' + '),
    start() {
      for (const { source } of parts) source.start?.();
    },
    async stop() {
      await Promise.all(parts.map(({ source }) => source.stop?.()));
    },
    async read(request) {
      const readings = await Promise.all(parts.map((part) => readPart(part, request)));
      const told = readings.filter(({ part }) => part.role !== 'usual');
      if (told.length === readings.length && told.every(({ reading }) => reading === null)) {
        throw new WeatherUnreadable(told.map(({ standing }) => standing.fault).join('\n'));
      }
      return together(readings, request, context);
    },
  };
}

async function readPart(part: WeatherPart, request: WeatherRequest): Promise<PartReading> {
  const staleAfterH = part.staleAfterS === null ? null : part.staleAfterS / 3600;
  try {
    const reading = await part.source.read(request);
    const { source } = reading;
    const asOfMs =
      part.role === 'forecast' ? (reading.writtenMs ?? reading.asOfMs) : reading.asOfMs;
    const ageH = asOfMs === null ? 0 : (request.nowMs - asOfMs) / HOUR_MS;
    const stale = staleAfterH !== null && ageH > staleAfterH;
    return { part, reading, standing: { source, asOfMs, stale, staleAfterH, fault: null } };
  } catch (error) {
    if (!(error instanceof WeatherUnreadable)) throw error;
    const source = part.source.kind;
    const standing = { source, asOfMs: null, stale: true, staleAfterH, fault: error.message };
    return { part, reading: null, standing };
  }
}

function together(
  readings: readonly PartReading[],
  request: WeatherRequest,
  { clock }: Pick<WeatherContext, 'clock'>,
): WeatherReading {
  const problems: WeatherProblem[] = [];
  const best = new Map<number, RawHour>();
  for (const one of readings) {
    if (one.reading === null) continue;
    problems.push(...one.reading.problems);
    for (const hour of hoursOf(one, request, { clock, problems })) {
      const known = best.get(hour.startMs);
      if (known === undefined || isBetter(hour, known)) best.set(hour.startMs, hour);
    }
  }
  const hours = withoutSilence([...best.values()].sort((a, b) => a.startMs - b.startMs));
  // Where an outlook stands alone its usual days are its own answer; among others they wait.
  const alone = readings.length === 1;
  const told = alone ? hours : hours.filter(({ origin }) => origin !== 'usual');
  const speaking = readings.filter(
    ({ reading, part }) => reading !== null && (alone || part.role !== 'usual'),
  );
  const asOfs = speaking.flatMap(({ standing }) => standing.asOfMs ?? []);
  return {
    source: sayWho(readings, speaking),
    hours: told,
    asOfMs: asOfs.length === 0 ? null : Math.min(...asOfs),
    problems: drawTogether(problems),
    usual: alone ? [] : readings.flatMap(({ reading }) => usualOf(reading)),
    standings: readings.filter(({ part }) => part.role !== 'usual').map(({ standing }) => standing),
  };
}

function hoursOf(
  { part, reading, standing }: PartReading,
  { nowMs }: WeatherRequest,
  { clock, problems }: Pick<WeatherContext, 'clock'> & { problems: WeatherProblem[] },
): RawHour[] {
  if (reading === null) return [];
  const told = { source: reading.source, asOfMs: standing.asOfMs };
  let hours: RawHour[] = reading.hours.map((hour) => ({ ...hour, told }));
  if (part.role === 'forecast') {
    hours = hours.map((hour) => ({ ...hour, origin: 'forecast' }));
  }
  if (part.role === 'observed') {
    const later = hours.filter(({ origin }) => origin !== 'observed');
    const [first] = later;
    if (first) {
      const what = `${later.length} h are stamped later than now (got ${clock.isoOf(first.startMs)})`;
      problems.push({ where: reading.source, what, done: 'left out', rule: 'future_stamp' });
    }
    hours = hours.filter(({ origin }) => origin === 'observed');
  }
  if (standing.stale) hours = hours.filter(({ startMs }) => startMs + HOUR_MS <= nowMs);
  if (!part.checked) return hours;
  const observed = hours.filter(({ origin }) => origin === 'observed');
  const checked = checkedHours(observed);
  for (const { rule, what, limit, startMs } of checked.findings) {
    const where = `${reading.source}, ${clock.isoOf(startMs)}`;
    problems.push({ where, what: `${what}; the limit is ${limit}`, done: 'value left out', rule });
  }
  return [...checked.hours, ...hours.filter(({ origin }) => origin !== 'observed')];
}

/** An hour without a temperature is worth less than any hour with one. */
function isBetter(hour: RawHour, known: RawHour): boolean {
  const rank = (one: RawHour) => RANK[one.origin] + (one.airTempC === null ? 10 : 0);
  return rank(hour) < rank(known);
}

/** Hours without a temperature for longer than can be bridged, left to what stands in. */
function withoutSilence(hours: readonly RawHour[]): RawHour[] {
  const silent = (index: number) => hours[index]?.airTempC === null;
  return hours.filter((_, index) => {
    if (!silent(index)) return true;
    let from = index;
    let to = index;
    while (silent(from - 1)) from--;
    while (silent(to + 1)) to++;
    return to - from + 1 <= BRIDGE_H;
  });
}

function usualOf(reading: WeatherReading | null): RawHour[] {
  return (reading?.hours ?? [])
    .filter(({ origin }) => origin === 'usual')
    .map((hour) => ({ ...hour, told: { source: 'usual day of the month', asOfMs: null } }));
}

function sayWho(all: readonly PartReading[], speaking: readonly PartReading[]): string {
  if (speaking.length > 0) return speaking.map(({ standing }) => standing.source).join(' and ');
  const away = all.filter(({ part }) => part.role !== 'usual');
  return away.map(({ standing }) => `${standing.source} (away)`).join(' and ');
}
