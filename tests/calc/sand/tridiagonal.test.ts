import fc from 'fast-check';
import { expect, test } from 'vitest';
import { createTridiagonal, solveTridiagonal } from '../../../calc/sand/tridiagonal.ts';

const entry = fc.double({ min: -1, max: 1, noNaN: true });

test('a solution put back into its rows gives their right sides', () => {
  fc.assert(
    fc.property(
      fc.array(fc.tuple(entry, entry, entry, fc.boolean()), { minLength: 1, maxLength: 12 }),
      (rows) => {
        const system = createTridiagonal(rows.length);
        for (const [i, [below, above, right, isNegative]] of rows.entries()) {
          system.below[i] = below;
          system.above[i] = above;
          system.right[i] = right;
          system.diagonal[i] = isNegative ? -2.5 : 2.5;
        }
        solveTridiagonal(system);
        const x = (i: number) => system.solution[i] ?? 0;
        for (const [i, [below, above, right, isNegative]] of rows.entries()) {
          const row = below * x(i - 1) + (isNegative ? -2.5 : 2.5) * x(i) + above * x(i + 1);
          expect(row).toBeCloseTo(right, 9);
        }
      },
    ),
    { seed: 66, numRuns: 200 },
  );
});
