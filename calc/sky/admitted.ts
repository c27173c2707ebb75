/** A number that a function of the sky was given, and the range in which its equation holds. */
export interface Admission {
  /** Function that was asked. */
  where: string;
  /** Name of the input, with its unit. */
  name: string;
  value: number;
  least: number;
  most: number;
}

/**
 * Gives the value back when it lies in its range, so that no impossible number, NaN or infinity
 * travels on as a plausible result.
 *
 * Throws RangeError otherwise.
 */
export function admitted({ where, name, value, least, most }: Admission): number {
  if (!Number.isFinite(value) || value < least || value > most) {
    throw new RangeError(
      `${where}: ${name} is out of range (got ${value}); give ${least} to ${most}`,
    );
  }
  return value;
}
