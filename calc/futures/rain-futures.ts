/** Chance that foretold rain comes where the source tells none: most of it does. Our choice. */
const USUAL_CHANCE_FRACTION = 0.8;
/** What comes of a foretold rain differs by a factor: spread of its log. Our choice. */
const AMOUNT_LOG = 0.5;
/** From day to day other members get the rain. */
const DAY_STEP_FRACTION = 0.382;

/**
 * Rain of a member against what was foretold, before it is centred: none in the members that the rain
 * misses, more or less of it in the others. Over members that lie evenly between 0 and 1 as many get
 * rain as the chance says, and its amounts are lognormal.
 *
 * @param memberFraction Evenly spread over members, 0 to below 1.
 * @param day The rain of a day comes or stays away as a whole.
 * @param chanceFraction As the source tells it, 0 to 1; null: a usual one.
 */
export function rainFactor({
  memberFraction,
  day,
  chanceFraction,
}: {
  memberFraction: number;
  day: number;
  chanceFraction: number | null;
}): number {
  const chance = chanceFraction ?? USUAL_CHANCE_FRACTION;
  const rank = (memberFraction + day * DAY_STEP_FRACTION) % 1;
  if (rank >= chance) return 0;
  // Rank within those that get rain; a logistic quantile is near enough to the normal's.
  const within = Math.min(0.98, Math.max(0.02, rank / chance));
  return Math.exp((AMOUNT_LOG * Math.log(within / (1 - within))) / 1.7);
}
