import { describe, expect, it } from 'vitest';
import { bedIdOf } from '../../../daemon/actions/bed-names.ts';

const BEDS = [
  { id: 'green-1', name: 'Green 1' },
  { id: 'green-3', name: 'Green 3' },
  { id: 'green-13', name: 'Green 13' },
  { id: 'n1', name: 'Nursery' },
  { id: '7', name: 'Practice (new)' },
];

describe('the bed that somebody means', () => {
  it.each([
    ['green-3', 'green-3'],
    ['Green 3', 'green-3'],
    ['  green   3 ', 'green-3'],
    ['GREEN-3', 'green-3'],
    ['3', 'green-3'],
    ['03', 'green-3'],
    ['13', 'green-13'],
    ['nursery', 'n1'],
    ['7', '7'],
    ['practice (new)', '7'],
    // Green 1 and the nursery's id end in it.
    ['1', '1'],
    ['9', '9'],
    ['Green', 'Green'],
    ['', ''],
  ])('%s is %s', (text, id) => {
    expect(bedIdOf(text, BEDS)).toBe(id);
  });

  it('is found by ids alone where no names are known', () => {
    expect(bedIdOf('3', [{ id: 'green-3' }, { id: 'green-4' }])).toBe('green-3');
    expect(bedIdOf('Green 3', [{ id: 'green-3' }])).toBe('Green 3');
  });

  it('is none of two that are called alike', () => {
    const alike = [
      { id: 'a', name: 'Green 3' },
      { id: 'b', name: 'green 3' },
    ];
    expect(bedIdOf('Green 3', alike)).toBe('Green 3');
  });
});
