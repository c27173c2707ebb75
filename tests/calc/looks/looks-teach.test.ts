import { describe, expect, it } from 'vitest';
import { eyeOf, learnEyes } from '../../../calc/looks/eye-knowledge.ts';
import { EYE_FRACTIONS } from '../../../calc/looks/member-look.ts';
import { seeded } from '../../seeded.ts';
import {
  drawnTruths,
  type Habit,
  lookedAt,
  missedAfterMin,
  missedMin,
  PRIOR,
} from './invented-dry-downs.ts';

const MANY = 48;
const mean = (values: readonly number[]) =>
  values.reduce((all, one) => all + one, 0) / values.length;

/** How far the time to dry is missed before and after six looks, truth by truth. */
function missed(habit: Habit, seed: number) {
  const unit = seeded(seed + 1);
  return drawnTruths(seed, MANY).map((truth, index) => {
    const bed = lookedAt(truth, { bedId: 'bed', who: `keeper ${index}`, looks: 6, habit, unit });
    return { beforeMin: missedMin(PRIOR, truth), afterMin: missedAfterMin(bed, truth) };
  });
}

const missedBefore = (cases: ReturnType<typeof missed>) => mean(cases.map((one) => one.beforeMin));
const missedAfter = (cases: ReturnType<typeof missed>) => mean(cases.map((one) => one.afterMin));

describe('six looks in an invented world, a fifth of them wrong', () => {
  it.each([100, 200])(
    'halve the error of the time to dry where they are worth most, and mislead 2 of 48 at the most (seed %d)',
    (seed) => {
      const cases = missed('worth', seed);
      expect(missedBefore(cases)).toBeGreaterThan(20);
      expect(missedAfter(cases)).toBeLessThan(0.5 * missedBefore(cases));
      const worse = cases.filter(({ beforeMin, afterMin }) => afterMin > beforeMin + 10);
      expect(worse.length).toBeLessThanOrEqual(2);
    },
  );

  it('teach less than half as much by the clock', () => {
    const cases = missed([10.5, 13, 15.5], 100);
    const taught = missedBefore(cases) - missedAfter(cases);
    expect(taught).toBeGreaterThan(0);
    const best = missed('worth', 100);
    expect(taught).toBeLessThan(0.5 * (missedBefore(best) - missedAfter(best)));
  });
});

describe('a keeper’s eye, learned on six beds that are never left to dry', () => {
  const KEEPERS = 16;
  const keepers = Array.from({ length: KEEPERS }, (_, keeper) => {
    const unit = seeded(900 + keeper);
    const eyeFraction = 0.15 + 0.3 * unit();
    const truths = drawnTruths(5000 + keeper, 6).map((truth) => ({ ...truth, eyeFraction }));
    const beds = truths.map((truth, index) =>
      lookedAt(truth, {
        bedId: `bed ${index}`,
        who: 'keeper',
        looks: 6,
        habit: 'worth, kept wet',
        unit,
      }),
    );
    return { eyeFraction, truths, beds, eyes: learnEyes(beds) };
  });

  it('is nearer to the truth than the middle of all eyes', () => {
    const middle = keepers.map(({ eyeFraction }) => Math.abs(0.3 - eyeFraction));
    const learned = keepers.map(({ eyeFraction, eyes }) => {
      const eye = eyeOf(eyes, 'keeper');
      const told = eye.reduce(
        (all, weight, index) => all + weight * (EYE_FRACTIONS[index] ?? 0),
        0,
      );
      return Math.abs(told - eyeFraction);
    });
    expect(mean(learned)).toBeLessThan(0.75 * mean(middle));
  });

  it('makes the looks at each of them tell more', () => {
    const missedBy = (isLearned: boolean) =>
      mean(
        keepers.flatMap(({ truths, beds, eyes }) =>
          beds.map((bed, index) => {
            const truth = truths[index];
            if (truth === undefined) throw new Error('a bed without a truth');
            return missedAfterMin(bed, truth, isLearned ? eyes : learnEyes([]));
          }),
        ),
      );
    expect(missedBy(true)).toBeLessThan(0.97 * missedBy(false));
  });
});
