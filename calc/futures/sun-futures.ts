/** Steepest that a sky near clear or near dark answers to an error; it keeps a clear day mostly clear. */
const STEEPEST_FACTOR = 12;
/** Bisections: to some millionths. */
const HALVINGS = 24;
const WIDEST = 30;

/**
 * Part of the most that a foretold hour can be: the formula of a clear sky is a mean one, exceeded by
 * some hundredths, so that a sky foretold clear is never certain to be.
 */
const CLEAREST_FRACTION = 0.97;

/** Most sun of an hour, MJ/m²: a clear sky's, or a little more than what was foretold. */
export function mostSunMjPerM2(solarMjPerM2: number, clearMjPerM2: number): number {
  return Math.max(clearMjPerM2, solarMjPerM2 / CLEAREST_FRACTION);
}

/** Logit of a clearness about which nothing is certain. */
function logitOf(clearnessFraction: number): number {
  return Math.log(clearnessFraction / (1 - clearnessFraction));
}

function logistic(x: number): number {
  return 1 / (1 + Math.exp(-x));
}

/**
 * Slope of the clearness' logit for an error of 1 in the sun's part: where there is room on both sides
 * an error of a tenth is a tenth of the sun.
 */
function steepnessOf(clearnessFraction: number): number {
  return Math.min(STEEPEST_FACTOR, 1 / (1 - clearnessFraction));
}

/**
 * Sun under errors that are parts of what was foretold, between dark and a clear sky by their nature
 * and with the forecast as their mean: a sky foretold clear is clear in most members and cloudy in a
 * few, since there is no more sun to come. Errors shift the logit of the clearness (logit-normal
 * distribution, Johnson 1949).
 *
 * @param clearMjPerM2 Under a clear sky. A night is certain.
 */
export function sunOfMembers({
  solarMjPerM2,
  clearMjPerM2,
  errors,
}: {
  solarMjPerM2: number;
  clearMjPerM2: number;
  errors: Float64Array;
}): Float64Array {
  const most = mostSunMjPerM2(solarMjPerM2, clearMjPerM2);
  const clearness = most > 0 ? solarMjPerM2 / most : 0;
  if (clearness <= 0) return errors.map(() => solarMjPerM2);
  const steepness = steepnessOf(clearness);
  const meanAt = (centre: number) =>
    errors.reduce((sum, error) => sum + logistic(centre + steepness * error), 0) / errors.length;
  let lower = logitOf(clearness) - WIDEST;
  let upper = logitOf(clearness) + WIDEST;
  for (let halving = 0; halving < HALVINGS; halving++) {
    const centre = (lower + upper) / 2;
    if (meanAt(centre) < clearness) lower = centre;
    else upper = centre;
  }
  const members = errors.map((error) => logistic((lower + upper) / 2 + steepness * error));
  const mean = members.reduce((sum, one) => sum + one, 0) / members.length;
  // What the search leaves is some millionths.
  return members.map((one) => Math.min(most, (one * solarMjPerM2) / mean));
}

/**
 * Sun of one draw against what was foretold, less 1, as `sunOfMembers` has it before it is centred.
 * @param clearnessFraction Against the most of the hour; 0 by night.
 */
export function sunChangeFraction(clearnessFraction: number, errorFraction: number): number {
  if (clearnessFraction <= 0) return 0;
  const shifted = logitOf(clearnessFraction) + steepnessOf(clearnessFraction) * errorFraction;
  return logistic(shifted) / clearnessFraction - 1;
}
