import { requireInRange } from '../input-range.ts';
import { movedForecastFraction } from '../sky/nowcast.ts';

/**
 * How wrong a forecast of an hour usually is, field by field: standard deviations. Air and dew point
 * are off by kelvins, wind by a factor (its logarithm is told), sun by a part of what was foretold.
 */
export interface ErrorSize {
  airTempK: number;
  dewPointK: number;
  windLog: number;
  sunFraction: number;
}

/** The fields that are wrong, in the order in which errors are drawn. */
export const ERROR_FIELDS = ['airTempK', 'dewPointK', 'windLog', 'sunFraction'] as const;

/** Sizes at ends of lead time, in order; between them on a line, before and beyond them the nearest. */
export type SizesByLead = readonly (ErrorSize & { leadH: number })[];

/**
 * Usual size of the errors of day-ahead forecasts of hourly surface weather.
 *
 * Source: verification of day-ahead forecasts, from memory. Together they give 17 to 24 % relative
 * error (RMSE) of a day's reference ET, worked out apart on typical years of four climates; forecasts
 * after statistical correction have 13 to 20 % (Medina & Tian 2020, HESS 24:1011, summers of 101
 * stations).
 */
export const DAY_AHEAD: ErrorSize = {
  airTempK: 1.7,
  dewPointK: 1.7,
  windLog: 0.25,
  sunFraction: 0.2,
};

/**
 * Usual size of the difference between a day and the one before where a site's days are not known: our
 * choice, so that a day's reference ET is off by 18 (a desert summer) to 36 %. Yesterday taken as
 * forecast is off by 28 to 46 % (worked out apart on typical years of four climates), and by 21 to 23 %
 * at Fallon, Seattle and New York from May to September.
 */
export const DAY_TO_DAY: ErrorSize = {
  airTempK: 3,
  dewPointK: 3,
  windLog: 0.5,
  sunFraction: 0.4,
};

/**
 * How long what was just measured keeps an error small: a scale of some hours, our choice. It is short
 * where forecasts are not moved towards what is measured, and longer where they are (see `nowcastHours`).
 */
const NOW_FADES_H = 3;

/**
 * Part of the full error that a forecast has at a lead time, 0 to 1: what was just measured is known,
 * and the knowledge fades as that of an autocorrelated error does.
 *
 * @param leadH hours since the last measurement, from 0
 * @param isMoved whether the forecast was moved by how it has departed from what was measured
 * @throws RangeError below 0
 *
 * Source: variance of a first-order autoregressive error known at lead 0, 1 - exp(-2 L / T).
 */
export function grownFraction(leadH: number, isMoved = false): number {
  const L = requireInRange({
    where: 'grownFraction',
    name: 'leadH',
    value: leadH,
    lower: 0,
    upper: 1e5,
  });
  const leftFraction = isMoved ? movedForecastFraction(L) : Math.exp(-L / NOW_FADES_H);
  return Math.sqrt(1 - leftFraction ** 2);
}

/** The size at a lead time, of a full size that grows after `grownFraction`. */
export function grownSize(full: ErrorSize, leadH: number, isMoved = false): ErrorSize {
  const part = grownFraction(leadH, isMoved);
  return mapSize((field) => part * full[field]);
}

/**
 * The size at a lead time, from sizes at several.
 * @throws RangeError when there are none.
 */
export function sizeAtLead(sizes: SizesByLead, leadH: number): ErrorSize {
  const after = sizes.findIndex((one) => one.leadH >= leadH);
  const to = sizes[after === -1 ? sizes.length - 1 : after];
  const from = sizes[Math.max(0, (after === -1 ? sizes.length : after) - 1)] ?? to;
  if (to === undefined || from === undefined) {
    throw new RangeError('sizeAtLead: no sizes (got none); give one at least');
  }
  const span = to.leadH - from.leadH;
  const part = span > 0 ? Math.min(1, Math.max(0, (leadH - from.leadH) / span)) : 1;
  return mapSize((field) => from[field] + part * (to[field] - from[field]));
}

/** A size whose fields are worked out one by one. */
export function mapSize(of: (field: (typeof ERROR_FIELDS)[number]) => number): ErrorSize {
  return {
    airTempK: of('airTempK'),
    dewPointK: of('dewPointK'),
    windLog: of('windLog'),
    sunFraction: of('sunFraction'),
  };
}
