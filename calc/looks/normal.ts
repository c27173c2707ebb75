const SQRT_2PI = Math.sqrt(2 * Math.PI);

/** Density of the standard normal distribution. */
export function normalDensity(x: number): number {
  return Math.exp(-0.5 * x * x) / SQRT_2PI;
}

/**
 * Standard normal distribution function, error below 7.5e-8 everywhere.
 *
 * Source: Abramowitz & Stegun 1964, Handbook of Mathematical Functions, eq. 26.2.17, p. 932.
 * @example normalBelow(1) = 0.84134475 (the same book, Table 26.1)
 */
export function normalBelow(x: number): number {
  if (x === Number.POSITIVE_INFINITY) return 1;
  if (x === Number.NEGATIVE_INFINITY) return 0;
  const t = 1 / (1 + 0.2316419 * Math.abs(x));
  const b = [0.31938153, -0.356563782, 1.781477937, -1.821255978, 1.330274429] as const;
  const tail = normalDensity(x) * t * (b[0] + t * (b[1] + t * (b[2] + t * (b[3] + t * b[4]))));
  return x >= 0 ? 1 - tail : tail;
}
