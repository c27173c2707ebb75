import { describe, expect, it } from 'vitest';
import { beliefOf, drawnTruth, seeded } from '../../bench/looks/truths.ts';
import { type TwinResult, twin } from '../../bench/looks/twin.ts';

/** The first of the bench's truths: other losses and other sands than thought. */
const TRUTHS = [1, 2, 3, 4, 5, 6].map(drawnTruth);
/** What the planning model itself misses of the column's time to dry. */
const CLOSE_MIN = 10;

/** `npm run bench -- looks` runs all of them. */
function results(basis: 'lab_report' | 'class_default', flippedFraction: number): TwinResult[] {
  return TRUTHS.map((truth, index) =>
    twin(truth, beliefOf(truth.className, basis), {
      random: seeded(index + 1),
      flippedFraction,
      timing: 'chance',
    }),
  );
}

const meanOf = (all: readonly TwinResult[], pick: (one: TwinResult) => number) =>
  all.reduce((sum, one) => sum + pick(one), 0) / all.length;

describe('ten looks at the numerical column', () => {
  it('halve the error of the time to dry, also that of a bed thought to last too long', () => {
    const all = results('lab_report', 0);
    const beforeMin = meanOf(all, (one) => one.beforeMin);
    expect(beforeMin).toBeGreaterThan(20);
    expect(meanOf(all, (one) => one.afterMin)).toBeLessThanOrEqual(beforeMin / 2);
    const lateMin = meanOf(all, (one) => one.lateBeforeMin);
    expect(lateMin).toBeGreaterThan(3);
    expect(meanOf(all, (one) => one.lateAfterMin)).toBeLessThanOrEqual(lateMin / 2);
  });

  it('still take a quarter of it away when a fifth of them is wrong', () => {
    const all = results('lab_report', 0.2);
    expect(meanOf(all, (one) => one.afterMin)).toBeLessThanOrEqual(
      0.75 * meanOf(all, (one) => one.beforeMin),
    );
  });

  it('make no bed of an assumed sand worse, held against all that its class would show', () => {
    const all = results('class_default', 0);
    expect(meanOf(all, (one) => one.afterMin)).toBeLessThanOrEqual(
      0.75 * meanOf(all, (one) => one.beforeMin),
    );
    for (const { beforeMin, afterMin } of all) {
      expect(afterMin).toBeLessThanOrEqual(Math.max(beforeMin, CLOSE_MIN));
    }
  });
});
