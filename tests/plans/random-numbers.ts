import { seeded } from '../seeded.ts';

/** Numbers that look random and are the same for the same seed. */
export interface RandomNumbers {
  /** Evenly between two numbers. */
  between(least: number, most: number): number;
  /** A whole number, both ends included. */
  whole(least: number, most: number): number;
  /** One of the values. */
  of<T>(values: readonly T[]): T;
  /** True in this part of the cases. */
  chance(partFraction: number): boolean;
}

export function randomNumbers(seed: number): RandomNumbers {
  const next = seeded(seed * 2_654_435_761);
  return {
    between: (least, most) => least + (most - least) * next(),
    whole: (least, most) => least + Math.floor((most - least + 1) * next()),
    of: <T>(values: readonly T[]) => values[Math.floor(values.length * next())] as T,
    chance: (partFraction) => next() < partFraction,
  };
}
