import { describe, expect, it } from 'vitest';
import { type NumberBounds, requireNumbers } from '../../calc/input-range.ts';

const fault = (value: number, bounds: NumberBounds) => {
  try {
    requireNumbers('here', { depth: [value, bounds] });
    return null;
  } catch (error) {
    return `${(error as Error).name} ${(error as Error).message}`;
  }
};

describe('a number that is asked for', () => {
  it.each<[NumberBounds, number, number]>([
    [{ above: 2 }, 2.1, 2],
    [{ atLeast: 2 }, 2, 1.9],
    [{ below: 2 }, 1.9, 2],
    [{ atMost: 2 }, 2, 2.1],
    [{ above: 0, atMost: 1 }, 1, 0],
    [{ atLeast: 0, below: 1 }, 0, 1],
    [{ atLeast: 0, atMost: 1 }, 1, 1.1],
    [{}, -1e9, Number.NaN],
    [{}, 1e9, Number.POSITIVE_INFINITY],
  ])('within %j may be %f, and not %f', (bounds, within, beyond) => {
    expect(fault(within, bounds)).toBeNull();
    expect(fault(beyond, bounds)).toMatch(/^RangeError here\.depth: /);
  });

  it('is refused with what it may be', () => {
    expect(fault(5, { above: 0, atMost: 1 })).toBe(
      'RangeError here.depth: out of range (got 5); give a number above 0 and of at most 1',
    );
    expect(fault(5, { atLeast: 0, below: 1 })).toBe(
      'RangeError here.depth: out of range (got 5); give a number of at least 0 and below 1',
    );
    expect(fault(Number.NaN, {})).toBe(
      'RangeError here.depth: not a finite number (got NaN); give a number',
    );
  });

  it('is refused first where it stands first', () => {
    const checks = { one: [1, {}], two: [2, { below: 1 }], three: [3, { below: 1 }] } as const;
    expect(() => requireNumbers('here', checks)).toThrow('here.two');
  });
});
