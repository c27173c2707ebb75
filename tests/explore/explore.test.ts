import { describe, expect, it } from 'vitest';
import { explore } from './explore.ts';
import { MUTANTS, PROGRAM } from './rules.ts';
import { firstOf, grainOf, SCENARIOS } from './scenarios.ts';

const QUICK = 'a stop and its release, a crash';

function scenario(name: string) {
  const found = SCENARIOS.find((one) => one.name === name);
  if (found === undefined) throw new Error(`${name}: no such scenario`);
  return found;
}

function explored(name: string, rules = PROGRAM) {
  const chosen = scenario(name);
  return explore({ first: firstOf(chosen), rules, grain: grainOf(chosen) });
}

describe('a share of what is explored state by state', () => {
  it('breaks no promise in any state, and is whole', () => {
    const { counterexample, isWhole, states, depth, quiet } = explored(QUICK);
    expect(counterexample).toBeNull();
    expect(isWhole).toBe(true);
    // An exploration that goes nowhere would prove nothing.
    expect(states).toBeGreaterThan(2_000);
    expect(depth).toBeGreaterThan(12);
    expect(quiet).toBeGreaterThan(30);
  });

  it.each(MUTANTS)('finds out: $name', ({ rules, foundIn }) => {
    expect(explored(foundIn, rules).counterexample).not.toBeNull();
  });

  it('has a scenario for everything that may happen', () => {
    const first = firstOf(scenario(QUICK));
    for (const what of Object.keys(first.budget)) {
      expect(
        SCENARIOS.some(({ may }) => Object.keys(may).includes(what)),
        what,
      ).toBe(true);
    }
  });
});
