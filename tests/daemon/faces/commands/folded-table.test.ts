import { describe, expect, it } from 'vitest';
import { foldedTable, foldedText } from '../../../../daemon/faces/commands/folded-table.ts';

const HEADING = ['start', 'bed', 'water', 'why'];
const ROWS = [
  ['06:35', 'Green 2', '0.7 mm', 'first water of the day; 3 min late: the pump is full'],
  ['07:22', 'Green 1', '0.7 mm', 'reserve at 07:22'],
];

describe('a table for a terminal', () => {
  it('stays one line a row where it fits, and where nobody reads it in a terminal', () => {
    const whole = foldedTable(HEADING, ROWS);
    expect(whole.split('\n')).toHaveLength(3);
    expect(foldedTable(HEADING, ROWS, 120)).toBe(whole);
  });

  it('puts beneath a row what has no room beside it, with its heading', () => {
    expect(foldedTable(HEADING, ROWS, 40).split('\n')).toEqual([
      'start  bed       water',
      '06:35  Green 2  0.7 mm',
      '       why: first water of the day; 3',
      '       min late: the pump is full',
      '07:22  Green 1  0.7 mm',
      '       why: reserve at 07:22',
    ]);
    expect(foldedTable(HEADING, ROWS, 18).split('\n')[2]).toBe('    water: 0.7 mm,');
  });

  it('folds a text under its own indent', () => {
    expect(foldedText('  rule: a very long rule', 16)).toEqual(['  rule: a very', '    long rule']);
    expect(foldedText('  rule: a very long rule')).toEqual(['  rule: a very long rule']);
  });
});
