import { describe, expect, it } from 'vitest';
import { readySigns } from '../../../calc/growth/stage-moves.ts';
import type { StageName } from '../../../calc/growth/stages.ts';

const seen = (stage: StageName, coverFraction: number | null, rootMm: number | null) =>
  readySigns(stage, { coverFraction, leafMm: null, rootMm });

describe('signs that a bed is ready for the next stage', () => {
  it.each([
    ['germination', 0.05, null, { coverFraction: 0.05, rootMm: null }],
    ['germination', 0.04, null, null],
    ['germination', null, 1, { coverFraction: null, rootMm: 1 }],
    ['germination', 0.04, 0.9, null],
    ['germination', 0.06, 3, { coverFraction: 0.06, rootMm: null }],
    ['emergence', 0.5, null, { coverFraction: 0.5, rootMm: null }],
    ['emergence', 0.49, 40, null],
    ['tillering', 0.8, 25, { coverFraction: 0.8, rootMm: 25 }],
    ['tillering', 0.79, 25, null],
    ['tillering', 0.8, 24.9, null],
    ['tillering', 0.8, null, null],
    ['tillering', null, 25, null],
    ['first_mow', 1, 90, null],
    ['germination', null, null, null],
  ] as const)('%s with %f of cover and roots of %f mm: %j', (stage, cover, root, said) => {
    expect(seen(stage, cover, root)).toEqual(said);
  });
});
