import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { columnsOf, cut, fill, fold, withoutControls } from '../../../daemon/words/text-columns.ts';

describe('texts in columns', () => {
  it.each([
    ['Green 3', 7],
    ['0.5 mm, 30 °C, 465 m²', 21],
    ['e\u0301', 1],
    ['緑', 2],
    ['', 0],
  ])('counts %j as %i', (text, columns) => {
    expect(columnsOf(text)).toBe(columns);
  });

  it('takes everything out that steers a terminal or turns the order', () => {
    expect(withoutControls('A\x1b[2J\x07\r\nB\u202eC\u009b')).toBe('A [2J   B C ');
  });

  it('folds between words, hangs what follows and keeps gaps', () => {
    expect(fold('one two   three four five', 13, 2)).toEqual(['one two', '  three four', '  five']);
    expect(fold('a   b', 11)).toEqual(['a   b']);
    expect(fold('', 11)).toEqual([]);
  });

  it('never passes the width, and folding loses no letter', () => {
    const texts = fc.string({ unit: 'grapheme', maxLength: 120 });
    fc.assert(
      fc.property(texts, fc.integer({ min: 12, max: 90 }), fc.nat(6), (text, width, hang) => {
        const told = withoutControls(text);
        const lines = fold(told, width, hang);
        for (const line of lines) expect(columnsOf(line)).toBeLessThanOrEqual(width);
        expect(lines.join('').replaceAll(' ', '')).toBe(told.replaceAll(' ', ''));
        expect(columnsOf(cut(told, width))).toBeLessThanOrEqual(width);
        expect(columnsOf(fill(told, width))).toBe(width);
      }),
      { seed: 20261125, numRuns: 300 },
    );
  });
});
