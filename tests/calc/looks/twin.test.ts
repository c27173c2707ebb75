import { describe, expect, it } from 'vitest';
import { beliefOf, drawnTruth, seeded } from '../../bench/looks/truths.ts';
import { twin } from '../../bench/looks/twin.ts';

/** The first of the bench's truths: other losses and other sands than thought. */
const TRUTHS = [1, 2, 3, 4, 5, 6].map(drawnTruth);

/** Mean errors over the truths, min; `npm run bench -- looks` runs all of them. */
function errors(flippedFraction: number): { beforeMin: number; afterMin: number } {
  const results = TRUTHS.map((truth, index) =>
    twin(truth, beliefOf(truth.className, 'lab_report'), {
      random: seeded(index + 1),
      flippedFraction,
      timing: 'chance',
    }),
  );
  const mean = (pick: (one: { beforeMin: number; afterMin: number }) => number) =>
    results.reduce((sum, one) => sum + pick(one), 0) / results.length;
  return { beforeMin: mean((one) => one.beforeMin), afterMin: mean((one) => one.afterMin) };
}

describe('ten looks at the numerical column', () => {
  it('halve the error of the time to dry', () => {
    const { beforeMin, afterMin } = errors(0);
    expect(beforeMin).toBeGreaterThan(20);
    expect(afterMin).toBeLessThanOrEqual(beforeMin / 2);
  });

  it('do no harm when a fifth of them is wrong', () => {
    const { beforeMin, afterMin } = errors(0.2);
    expect(afterMin).toBeLessThanOrEqual(beforeMin);
  });
});
