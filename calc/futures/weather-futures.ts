import { solarDayStartMs } from '../sky/sun-geometry.ts';
import type { EtHour, SitePlace, WeatherHour } from '../sky/weather-hour.ts';
import { type EnsembleHour, ensembleDepartures } from './ensemble-departures.ts';
import { errorDraws } from './error-draws.ts';
import { type ForecastError, recordedSizes } from './error-record.ts';
import { etSensitivities } from './et-sensitivities.ts';
import {
  DAY_AHEAD,
  ERROR_FIELDS,
  type ErrorSize,
  grownFraction,
  grownSize,
  mapSize,
  type SizesByLead,
  sizeAtLead,
} from './forecast-errors.ts';
import { selectedDraws, spreadFraction } from './member-selection.ts';
import { type HourError, memberWeather } from './member-weather.ts';
import { rainFactor } from './rain-futures.ts';
import { spreadOfDays } from './spread-of-days.ts';
import { sunChangeFraction } from './sun-futures.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** Draws among which one member is chosen. */
const DRAWS_A_MEMBER = 8;
/**
 * Errors are drawn this much larger than their size: members that are held within what can be and
 * centred on the forecast lose as much of their spread in reference ET. Chosen so that about nine days of
 * ten fall between the members' 5 and 95 %, with errors of the published size put on real weather from
 * May to September: 88 to 91 of 100 at Seattle and New York, 82 to 83 at Fallon, where errors held below
 * a clear sky bend the forecast by 5 %. Without it 76 to 85.
 */
const WIDENED_FACTOR = 1.25;
/** A day with less than this part of the strongest day's remaining ET is as good as over. */
const LEAST_DAY_FRACTION = 0.2;

/**
 * Where the spread of futures comes from: the source's own `ensemble`, the site's `record` of what was
 * foretold and what came, `published` verification of day-ahead forecasts, or the `spread_of_days` where
 * an earlier or a usual day stands in for a forecast.
 */
export type FuturesBasis = 'ensemble' | 'record' | 'published' | 'spread_of_days';

/** A way in which the weather may go on. */
export interface WeatherFuture {
  weightFraction: number;
  /** The forecast's hours, each with its own values. */
  hours: readonly EtHour[];
}

/** Weighted ways in which the weather may go on, and where their spread comes from. */
export interface WeatherFutures {
  basis: FuturesBasis;
  members: readonly WeatherFuture[];
}

/** What futures are made of. */
export interface FuturesInput {
  /** The forecast, in order of time and without a gap. */
  hours: readonly EtHour[];
  place: SitePlace;
  /** Until when the weather is measured: lead times count from here, and hours that ended are certain. */
  asOfMs: number;
  /** Members; default 24. */
  count?: number;
  /** Complete hours of each member of the source's ensemble; hours that one lacks count for none. */
  ensemble?: readonly (readonly WeatherHour[])[];
  /** What was foretold at this site against what came; counts from ten days on. */
  record?: readonly ForecastError[];
  /** Earlier hours of this site: they tell how far one day is from the next. */
  earlierDays?: readonly WeatherHour[];
  /** Whether the hours foretold were moved by how the measured ones departed (`nowcastHours`). */
  isMoved?: boolean;
}

/**
 * Weighted futures of the weather about a forecast. Each member is a whole course of hours with its own
 * reference ET; measured hours are the same in all. In each hour the members' mean of every field, and
 * of reference ET, is the forecast's.
 *
 * Errors last: each has a slow part that lives for days and a wobble that lives for hours, and grows
 * from nothing at the measured hour to its full size at the day ahead. Their sizes come from the best
 * basis at hand, hour by hour. An ensemble's own departures count first; since ensembles of surface
 * weather are known to be too narrow, errors are added until the spread is that of the basis behind it.
 *
 * From many draws as many members are taken as asked for, spread evenly over the reference ET that is
 * left of the day and, within that, over what comes after: so their least and greatest stand for the
 * draws' quantiles. Members come with that of the least ET first; who pairs them with another list has
 * to mix it.
 *
 * Deterministic. Throws RangeError when hours are out of order, or the count is not 1 to 200.
 */
export function weatherFutures(asked: FuturesInput): WeatherFutures {
  // By whole hours: a plan that is made anew a minute later has to find the same futures.
  const asOfMs =
    asked.hours.findLast(({ startMs }) => startMs <= asked.asOfMs)?.startMs ?? asked.asOfMs;
  const input = { ...asked, asOfMs };
  const { hours, place, count = 24 } = input;
  if (!(Number.isInteger(count) && count >= 1 && count <= 200)) {
    throw new RangeError(
      `weatherFutures: no such number of members (got ${count}); give 1 to 200, for example 24`,
    );
  }
  const [first] = hours;
  const outlook = foretoldHours(input);
  if (first === undefined || outlook.length === 0) {
    const same = { weightFraction: 1 / count, hours };
    return { basis: 'published', members: Array.from({ length: count }, () => same) };
  }
  const drawn = drawnErrors(outlook, { count, asOfMs, place });
  const chosen = selectedDraws(etOfDraws(drawn, hours, place), count);
  const slotOf = new Map(outlook.map(({ index }, slot) => [index, slot]));
  const lists = memberWeather(hours, place, {
    members: count,
    errorAt: (member, index) => {
      const slot = slotOf.get(index);
      const told = slot === undefined ? undefined : outlook[slot];
      if (slot === undefined || told === undefined) return null;
      const draw = chosen[member] ?? 0;
      const error = (field: number) =>
        drawn.values[(draw * ERROR_FIELDS.length + field) * outlook.length + slot] ?? 0;
      return {
        airTempK: error(0),
        dewPointK: error(1),
        windLog: error(2),
        sunFraction: error(3),
        rainFactor: rainOf(told, { member, draw, place }),
      } satisfies HourError;
    },
  });
  return {
    basis: basisOf(outlook, asOfMs),
    members: lists.map((list) => ({ weightFraction: 1 / count, hours: list })),
  };
}

/** An hour that is foretold, and how wrong it may be. */
interface ForetoldHour {
  /** Its place among all hours. */
  index: number;
  hour: EtHour;
  basis: FuturesBasis;
  size: ErrorSize;
  /** Part of the ensemble's departures that the last measurement has not settled. */
  openFraction: number;
  ensemble: EnsembleHour | null;
}

function foretoldHours(input: FuturesInput): ForetoldHour[] {
  const { hours, place, asOfMs, earlierDays = [], record = [], isMoved = false } = input;
  const recorded = recordedSizes(record);
  const ensemble = ensembleDepartures(input.ensemble ?? []);
  let ofDays: ErrorSize | null = null;
  return hours.flatMap((hour, index): ForetoldHour[] => {
    if (hour.origin === 'observed' || hour.startMs + HOUR_MS <= asOfMs) return [];
    const leadH = Math.max(0, (hour.startMs + HOUR_MS / 2 - asOfMs) / HOUR_MS);
    const openFraction = grownFraction(leadH, isMoved);
    const one = { index, hour, openFraction };
    if (hour.origin !== 'forecast') {
      ofDays ??= spreadOfDays(earlierDays, place);
      const size = grownSize(ofDays, leadH);
      return [{ ...one, basis: 'spread_of_days', size, ensemble: null }];
    }
    const size = forecastSize(recorded, leadH, isMoved);
    const told = ensemble.get(hour.startMs) ?? null;
    if (told === null) {
      const basis = recorded === null ? 'published' : 'record';
      return [{ ...one, basis, size, ensemble: null }];
    }
    const lacking = mapSize((field) =>
      Math.sqrt(Math.max(0, size[field] ** 2 - (openFraction * told.spread[field]) ** 2)),
    );
    return [{ ...one, basis: 'ensemble', size: lacking, ensemble: told }];
  });
}

/** A day ahead, as the record tells of it: what a forecast that is moved grows to. */
const FULL_LEAD_H = 24;

function forecastSize(recorded: SizesByLead | null, leadH: number, isMoved: boolean): ErrorSize {
  if (recorded === null) return grownSize(DAY_AHEAD, leadH, isMoved);
  return isMoved
    ? grownSize(sizeAtLead(recorded, FULL_LEAD_H), leadH, true)
    : sizeAtLead(recorded, leadH);
}

/** What most hours of the next day rest on. */
function basisOf(outlook: readonly ForetoldHour[], asOfMs: number): FuturesBasis {
  const near = outlook.filter(({ hour }) => hour.startMs < asOfMs + DAY_MS);
  const counted = near.length > 0 ? near : outlook;
  const hoursOn = (basis: FuturesBasis) => counted.filter((one) => one.basis === basis).length;
  const bases: FuturesBasis[] = ['spread_of_days', 'published', 'record', 'ensemble'];
  return bases.reduce((most, basis) => (hoursOn(basis) > hoursOn(most) ? basis : most));
}

/** Errors of all draws in the foretold hours, in the fields' own units. */
interface DrawnErrors {
  outlook: readonly ForetoldHour[];
  draws: number;
  /** Index: (draw * fields + field) * foretold hours + hour. */
  values: Float64Array;
}

function drawnErrors(
  outlook: readonly ForetoldHour[],
  { count, asOfMs, place }: { count: number; asOfMs: number; place: SitePlace },
): DrawnErrors {
  const draws = count * DRAWS_A_MEMBER;
  // Counted from the day's beginning: an hour has the same errors whenever in the day it is asked.
  const fromMs = solarDayStartMs(asOfMs, place.longitudeDeg);
  const slots = outlook.map(({ hour }) =>
    Math.max(0, Math.floor((hour.startMs - fromMs) / HOUR_MS)),
  );
  const hours = 1 + Math.max(...slots);
  const unit = errorDraws({ draws, hours });
  const fields = ERROR_FIELDS.length;
  const values = new Float64Array(draws * fields * outlook.length);
  ERROR_FIELDS.forEach((field, at) => {
    const widths = Float64Array.from(outlook, ({ size }) => WIDENED_FACTOR * size[field]);
    for (let draw = 0; draw < draws; draw++) {
      const series = draw * fields + at;
      for (let slot = 0; slot < widths.length; slot++) {
        const error = unit.values[series * hours + (slots[slot] ?? 0)] ?? 0;
        const departure = departureOf(outlook[slot], draw, field);
        values[series * widths.length + slot] = (widths[slot] ?? 0) * error + departure;
      }
    }
  });
  return { outlook, draws, values };
}

/** What a draw takes over from its member of the ensemble. */
function departureOf(
  told: ForetoldHour | undefined,
  draw: number,
  field: (typeof ERROR_FIELDS)[number],
): number {
  if (told === undefined || told.ensemble === null) return 0;
  const { departures } = told.ensemble;
  return told.openFraction * (departures[draw % departures.length]?.[field] ?? 0);
}

/**
 * Reference ET of each draw over what is left of the day and over what comes after, by the slopes of
 * ET: enough to order draws by.
 */
function etOfDraws(
  { outlook, draws, values }: DrawnErrors,
  hours: readonly EtHour[],
  place: SitePlace,
): { first: Float64Array; later: Float64Array } {
  const slopes = etSensitivities(hours, place);
  const dayOf = ({ hour }: ForetoldHour) => solarDayStartMs(hour.startMs, place.longitudeDeg);
  const leftMm = new Map<number, number>();
  for (const told of outlook) {
    const dayMs = dayOf(told);
    leftMm.set(dayMs, (leftMm.get(dayMs) ?? 0) + Math.max(0, told.hour.referenceEtMm));
  }
  const mostMm = Math.max(...leftMm.values());
  const firstDayMs = [...leftMm].find(([, mm]) => mm >= LEAST_DAY_FRACTION * mostMm)?.[0] ?? 0;
  const first = new Float64Array(draws);
  const later = new Float64Array(draws);
  outlook.forEach((told, slot) => {
    const into = dayOf(told) <= firstDayMs ? first : later;
    const clearnessFraction = slopes.clearnessFraction[told.index] ?? 0;
    ERROR_FIELDS.forEach((field, at) => {
      const slope = slopes.mm[field][told.index] ?? 0;
      const isSun = field === 'sunFraction';
      if (isSun && clearnessFraction === 0) return;
      for (let draw = 0; draw < draws; draw++) {
        const error = values[(draw * ERROR_FIELDS.length + at) * outlook.length + slot] ?? 0;
        const change = isSun ? sunChangeFraction(clearnessFraction, error) : error;
        into[draw] = (into[draw] ?? 0) + slope * change;
      }
    });
  });
  return { first, later };
}

function rainOf(
  { hour, ensemble }: ForetoldHour,
  at: { member: number; draw: number; place: SitePlace },
): number {
  const { member, draw, place } = at;
  if (ensemble !== null) return ensemble.rainMm[draw % ensemble.rainMm.length] ?? 0;
  if (hour.rainMm === 0) return 0;
  const dayMs = solarDayStartMs(hour.startMs, place.longitudeDeg);
  const chanceFraction = hour.rainChanceFraction ?? null;
  const day = Math.round(dayMs / DAY_MS);
  return rainFactor({ memberFraction: spreadFraction(member), day, chanceFraction });
}
