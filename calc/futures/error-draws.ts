import { ERROR_FIELDS } from './forecast-errors.ts';

/** Errors of size 1: for each draw, field and hour. */
export interface ErrorDraws {
  draws: number;
  hours: number;
  /** Index: (draw * fields + field) * hours + hour. */
  values: Float64Array;
}

/** How much of a day's error is left in the next day's: our choice. */
const DAY_KEPT_FRACTION = 0.5;
const DAY_H = 24;
/** The slow hourly wobble about it, of a third of its size. */
const WOBBLE_FADES_H = 3;
const WOBBLE_FRACTION = 1 / 3;
const SEED = 20_260_701;

/**
 * Errors of forecasts in units of their size: a part that is the same for a whole day and half kept in
 * the next, and a wobble of a third of it that lasts for hours; both are stationary first-order
 * autoregressions, fields independent. The same numbers at every call: the generator's seed is fixed.
 *
 * @param hours From the beginning of a day on.
 *
 * Source: the parts as in the published sizes (see `DAY_AHEAD`).
 */
export function errorDraws({ draws, hours }: { draws: number; hours: number }): ErrorDraws {
  const normal = seededNormals(SEED);
  const series = draws * ERROR_FIELDS.length;
  const values = new Float64Array(series * hours);
  const daily = new Float64Array(series);
  const wobble = new Float64Array(series);
  // Hour by hour for all, so that the first hours of a longer series are those of a shorter one.
  for (let hour = 0; hour < hours; hour++) {
    const dayKept = hour === 0 ? 0 : DAY_KEPT_FRACTION;
    const wobbleKept = hour === 0 ? 0 : Math.exp(-1 / WOBBLE_FADES_H);
    for (let one = 0; one < series; one++) {
      if (hour % DAY_H === 0) daily[one] = nextOf(daily[one] ?? 0, dayKept, normal());
      wobble[one] = nextOf(wobble[one] ?? 0, wobbleKept, normal());
      values[one * hours + hour] = (daily[one] ?? 0) + WOBBLE_FRACTION * (wobble[one] ?? 0);
    }
  }
  return { draws, hours, values };
}

/** Next value of a first-order autoregression of variance 1. */
function nextOf(value: number, keptFraction: number, normal: number): number {
  return keptFraction * value + Math.sqrt(1 - keptFraction ** 2) * normal;
}

/** Standard normal numbers (Box and Muller 1958) from a seeded generator (mulberry32, public domain). */
function seededNormals(seed: number): () => number {
  let state = seed >>> 0;
  const uniform = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
  let spare: number | null = null;
  return () => {
    if (spare !== null) {
      const kept = spare;
      spare = null;
      return kept;
    }
    const radius = Math.sqrt(-2 * Math.log(1 - uniform()));
    const angle = 2 * Math.PI * uniform();
    spare = radius * Math.sin(angle);
    return radius * Math.cos(angle);
  };
}
