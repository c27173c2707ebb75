import { expect, it } from 'vitest';
import { arrowsBack } from './arrows-back.ts';

const arrow = (text: string) => {
  const [from = '', to = ''] = text.split(' ');
  return { from, to };
};

it('finds none where rooms have an order, however the arrows come', () => {
  expect(arrowsBack(['c b', 'b a', 'c a', 'd b'].map(arrow))).toEqual([]);
});

it('finds the fewest that close a circle', () => {
  expect(arrowsBack(['a b', 'b c', 'c a'].map(arrow))).toHaveLength(1);
  expect(arrowsBack(['a b', 'b a', 'c d', 'd c', 'a c'].map(arrow))).toHaveLength(2);
});
