import { describe, expect, it } from 'vitest';
import { changeLines } from '../../../daemon/words/confirm-words.ts';
import { EXAMPLE_MADE_AT_MS, examplePlan } from '../../example-plan.ts';
import { inventedReader } from '../../reader.ts';

const given = { fromMs: EXAMPLE_MADE_AT_MS, reader: inventedReader() };

describe('changeLines', () => {
  it('says when nothing changes', () => {
    expect(changeLines(examplePlan(), examplePlan(), given)).toEqual(['Nothing to come changes.']);
  });

  it('gives one line a bed that changes, and counts only what is to come', () => {
    const before = examplePlan();
    const [bed, ...others] = before.beds;
    if (bed === undefined) throw new Error('the example has beds');
    const after = examplePlan({ beds: [{ ...bed, cycles: bed.cycles.slice(0, 2) }, ...others] });
    expect(changeLines(before, after, given)).toEqual([
      'Bed One (invented): 2 cycles (were 3), 2.00 mm (were 3.00 mm)',
    ]);
    const late = { ...given, fromMs: EXAMPLE_MADE_AT_MS + 100 * 60_000 };
    expect(changeLines(before, after, late)).toEqual([
      'Bed One (invented): 1 cycle (were 2), 1.00 mm (were 2.00 mm)',
    ]);
  });
});
