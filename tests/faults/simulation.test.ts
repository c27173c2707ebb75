import { describe, expect, it } from 'vitest';
import { manyHistories } from './simulation/many-histories.ts';
import { LEEWAY_MUTANTS, MUTANTS, STOP_MUTANTS } from './simulation/simulation.ts';

/** Seeds that the long run does not begin with. */
const FIRST_SEED = 100_000;

describe('a share of the simulated histories', () => {
  it('breaks no promise', async () => {
    const { failed, counts } = await manyHistories({ firstSeed: FIRST_SEED, histories: 25 });
    expect(failed.map(({ seed, broken }) => ({ seed, broken }))).toEqual([]);
    // A share in which nothing ever went wrong would prove nothing.
    for (const what of [
      'crashes',
      'confirmed',
      'refused',
      'messages again',
      'changes within a leeway',
    ]) {
      expect(counts[what], what).toBeGreaterThan(5);
    }
  }, 120_000);

  it('lives the same history again from the same seed', async () => {
    const lived = { firstSeed: FIRST_SEED, histories: 2 };
    expect((await manyHistories(lived)).hashes).toEqual((await manyHistories(lived)).hashes);
  }, 120_000);

  it.each(MUTANTS)(
    'finds out a gate without %s',
    async (withoutGuard) => {
      const mutant = { firstSeed: 1, histories: 200, withoutGuard, stopAtFirst: true };
      expect((await manyHistories(mutant)).failed.length).toBe(1);
    },
    60_000,
  );

  it.each(STOP_MUTANTS)(
    'finds out a stop with %s within 20 histories',
    async (stopMutant) => {
      const mutant = { firstSeed: 1, histories: 20, stopMutant, stopAtFirst: true };
      expect((await manyHistories(mutant)).failed.length).toBe(1);
    },
    60_000,
  );

  it.each(LEEWAY_MUTANTS)(
    'finds out a day followed with %s within 20 histories',
    async (leewayMutant) => {
      const mutant = { firstSeed: 1, histories: 20, leewayMutant, stopAtFirst: true };
      expect((await manyHistories(mutant)).failed.length).toBe(1);
    },
    60_000,
  );
});
