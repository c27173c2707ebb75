/** Numbers that follow from a seed alone, so that a history can be replayed. */
export interface Random {
  /** 0 up to, but not, 1. */
  next(): number;
  /** A whole number from `least` to `most`, both among them. */
  whole(least: number, most: number): number;
  chance(fraction: number): boolean;
  pick<T>(items: readonly T[]): T;
  /** One of the named things, as often as its weight says. */
  weighted<K extends string>(weights: Readonly<Record<K, number>>): K;
}

/** The generator that its author calls mulberry32 (public domain): 32 bits of state, good enough to stir a test. */
export function random(seed: number): Random {
  let state = seed >>> 0;
  const next = () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  const whole = (least: number, most: number) => least + Math.floor(next() * (most - least + 1));
  return {
    next,
    whole,
    chance: (fraction) => next() < fraction,
    pick<T>(items: readonly T[]): T {
      return items[whole(0, items.length - 1)] as T;
    },
    weighted<K extends string>(weights: Readonly<Record<K, number>>): K {
      const entries = Object.entries(weights) as [K, number][];
      let left = next() * entries.reduce((sum, [, weight]) => sum + weight, 0);
      for (const [name, weight] of entries) {
        left -= weight;
        if (left < 0) return name;
      }
      return (entries.at(-1) as [K, number])[0];
    },
  };
}
