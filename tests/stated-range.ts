import { expect, it } from 'vitest';

/**
 * What a docstring says of an input: the least and the most that its function takes. An open end is
 * one that another input decides, or above which a value only has to lie.
 */
export interface StatedRange {
  least: number;
  most: number;
  call(value: number): unknown;
  isOpenBelow?: boolean;
}

/** Holds functions to take both ends of each range, and nothing a hundredth of it beyond. */
export function holdToRanges(ranges: Readonly<Record<string, StatedRange>>): void {
  it.each(Object.entries(ranges))('%s', (_, { least, most, call, isOpenBelow = false }) => {
    const beyond = 0.01 * (most - least);
    expect(() => call(least)).not.toThrow();
    expect(() => call(most)).not.toThrow();
    if (!isOpenBelow) expect(() => call(least - beyond)).toThrow(RangeError);
    expect(() => call(most + beyond)).toThrow(RangeError);
  });
}

/** Holds functions to take a half and refuse 0. */
export function holdAboveNothing(
  calls: Readonly<Record<string, (value: number) => unknown>>,
): void {
  it.each(Object.entries(calls))('%s', (_, call) => {
    expect(() => call(0)).toThrow(RangeError);
    expect(() => call(0.5)).not.toThrow();
  });
}
