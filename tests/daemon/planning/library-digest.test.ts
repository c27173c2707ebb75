import { expect, it } from 'vitest';
import { memberSpread } from '../../../calc/futures/member-spread.ts';
import { sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { libraryDigest } from '../../../daemon/planning/library-digest.ts';

const [one, other] = ['medium_open', 'coarse_open'].map((name) => sandClassModels[name]?.model);
if (one === undefined || other === undefined) {
  throw new Error('the sand classes have changed their names');
}

it('a library has one digest, and any other library another', () => {
  const library = memberSpread([one]);
  const digest = libraryDigest(library);
  expect(digest).toMatch(/^[0-9a-f]{16}$/);
  expect(libraryDigest(memberSpread([structuredClone(one)]))).toBe(digest);
  const [first, ...rest] = library;
  if (first === undefined) throw new Error('a library has members');
  const others = [
    memberSpread([other]),
    memberSpread([one, other]),
    rest,
    [...rest, first],
    [{ ...first, lossFactor: 1.01 * first.lossFactor }, ...rest],
    [{ ...first, nightFraction: 0.5 * first.nightFraction }, ...rest],
    [{ ...first, model: { ...one, limitMm: one.limitMm + 0.01 } }, ...rest],
  ];
  expect(new Set([digest, ...others.map(libraryDigest)]).size).toBe(others.length + 1);
});
