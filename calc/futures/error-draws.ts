import { ERROR_FIELDS } from './forecast-errors.ts';

/** Errors of size 1: for each draw, field and hour. */
export interface ErrorDraws {
  draws: number;
  hours: number;
  /** Index: (draw * fields + field) * hours + hour. */
  values: Float64Array;
}

/** A day that is wrong in the morning is wrong in the evening, and little more than half so a day on. */
const SLOW_FADES_H = 48;
/** The slow hourly wobble about it, of a third of its size. */
const WOBBLE_FADES_H = 3;
const WOBBLE_FRACTION = 1 / 3;
const SEED = 20_260_701;

/**
 * Errors of forecasts in units of their size: a slow part that lasts for a day or two and a wobble of
 * a third of it that lasts for hours, each a stationary first-order autoregression; fields
 * independent. The same numbers at every call: the generator's seed is fixed.
 *
 * Source: the parts as in the published sizes (see `DAY_AHEAD`).
 */
export function errorDraws({ draws, hours }: { draws: number; hours: number }): ErrorDraws {
  const normal = seededNormals(SEED);
  const values = new Float64Array(draws * ERROR_FIELDS.length * hours);
  const slowKept = Math.exp(-1 / SLOW_FADES_H);
  const slowNew = Math.sqrt(1 - slowKept ** 2);
  const wobbleKept = Math.exp(-1 / WOBBLE_FADES_H);
  const wobbleNew = Math.sqrt(1 - wobbleKept ** 2);
  // Hour by hour for all, so that the first hours of a longer series are those of a shorter one.
  const series = draws * ERROR_FIELDS.length;
  const slow = Float64Array.from({ length: series }, normal);
  const wobble = Float64Array.from({ length: series }, normal);
  for (let hour = 0; hour < hours; hour++) {
    for (let one = 0; one < series; one++) {
      const before = slow[one] ?? 0;
      const beforeWobble = wobble[one] ?? 0;
      const now = hour === 0 ? before : slowKept * before + slowNew * normal();
      const nowWobble =
        hour === 0 ? beforeWobble : wobbleKept * beforeWobble + wobbleNew * normal();
      slow[one] = now;
      wobble[one] = nowWobble;
      values[one * hours + hour] = now + WOBBLE_FRACTION * nowWobble;
    }
  }
  return { draws, hours, values };
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
