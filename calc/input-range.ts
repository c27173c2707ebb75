/** Where a number must lie; a bound left out is open. */
export interface NumberBounds {
  above?: number;
  atLeast?: number;
  below?: number;
  atMost?: number;
}

/** A value and where it must lie. */
type NumberCheck = readonly [value: number, bounds: NumberBounds];

/**
 * Refuses numbers that cannot be: not finite, or outside their bounds. Every name is checked in the
 * order given and the first fault is thrown.
 *
 * @throws RangeError `<where>.<name>: <what is wrong> (got <value>); <what to do>`.
 */
export function requireNumbers(where: string, checks: Record<string, NumberCheck>): void {
  for (const [name, [value, bounds]] of Object.entries(checks)) {
    if (isWithin(value, bounds)) continue;
    const wanted = describeBounds(bounds);
    const fault = Number.isFinite(value) ? 'out of range' : 'not a finite number';
    throw new RangeError(`${where}.${name}: ${fault} (got ${value}); give a number${wanted}`);
  }
}

function isWithin(value: number, bounds: NumberBounds): boolean {
  const { above, atLeast, below, atMost } = bounds;
  return (
    Number.isFinite(value) &&
    (above === undefined || value > above) &&
    (atLeast === undefined || value >= atLeast) &&
    (below === undefined || value < below) &&
    (atMost === undefined || value <= atMost)
  );
}

function describeBounds({ above, atLeast, below, atMost }: NumberBounds): string {
  const parts: string[] = [];
  if (above !== undefined) parts.push(`above ${above}`);
  if (atLeast !== undefined) parts.push(`of at least ${atLeast}`);
  if (below !== undefined) parts.push(`below ${below}`);
  if (atMost !== undefined) parts.push(`of at most ${atMost}`);
  return parts.length === 0 ? '' : ` ${parts.join(' and ')}`;
}

/** A number that a function of the sky was given, and the range in which its equation holds. */
interface RangeCheck {
  /** Function that was asked. */
  where: string;
  /** Name of the input, with its unit. */
  name: string;
  value: number;
  lower: number;
  upper: number;
}

/**
 * Gives the value back when it lies in its range, so that no impossible number, NaN or infinity
 * travels on as a plausible result.
 *
 * Throws RangeError otherwise.
 */
export function requireInRange({ where, name, value, lower, upper }: RangeCheck): number {
  if (!Number.isFinite(value) || value < lower || value > upper) {
    throw new RangeError(
      `${where}: ${name} is out of range (got ${value}); give ${lower} to ${upper}`,
    );
  }
  return value;
}
