import { describe, expect, it } from 'vitest';
import { dryLines } from '../../../daemon/words/confirm-words.ts';
import { sayIn } from '../../../daemon/words/language.ts';

describe('the harm of a change', () => {
  it('names every bed that is dry before or after, the one that loses most first', () => {
    const beds = [
      { name: 'Green 1', beforeMin: 30, afterMin: 0 },
      { name: 'Green 2', beforeMin: 0, afterMin: 0 },
      { name: 'Green 3', beforeMin: 20, afterMin: 25 },
      { name: 'Green 4', beforeMin: 10, afterMin: 95 },
      { name: 'Green 5', beforeMin: 40, afterMin: 40 },
    ];
    expect(dryLines(beds, sayIn('en'))).toEqual([
      'Green 4: dry for 95 min in daylight (before: 10 min).',
      'Green 3: dry for 25 min in daylight (before: 20 min).',
      'Green 5: dry for 40 min in daylight.',
      'Green 1: not dry any more (before: 30 min).',
    ]);
  });

  it('says so when no bed is', () => {
    expect(dryLines([{ name: 'Green 1', beforeMin: null, afterMin: 0 }], sayIn('en'))).toEqual([
      'No bed gets dry in daylight.',
    ]);
  });
});
