import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  inReadingOrder,
  type PlanWarning,
  WARNING_CODES,
} from '../../../calc/schedule/plan-warning.ts';

/** A warning without its facts: the order asks for the code alone. */
const warning = (code: PlanWarning['code'], bedId: string) => ({ code, bedId }) as PlanWarning;

test('what a person must act on stands before what is merely assumed', () => {
  const given = ['stage_prompt', 'sand_assumed', 'does_not_fit', 'bed_held', 'revised'] as const;
  expect(inReadingOrder(given.map((code) => warning(code, ''))).map(({ code }) => code)).toEqual([
    'revised',
    'bed_held',
    'does_not_fit',
    'sand_assumed',
    'stage_prompt',
  ]);
});

test('any warnings are read by the list of codes, and of one code as they came', () => {
  fc.assert(
    fc.property(fc.array(fc.constantFrom(...WARNING_CODES), { maxLength: 30 }), (codes) => {
      const given = codes.map((code, index) => warning(code, String(index)));
      const kept = [...given];
      const read = inReadingOrder(given);
      // Code by code, without a sort: what the order has to come to.
      const expected = WARNING_CODES.flatMap((code) => given.filter((one) => one.code === code));
      expect(read).toEqual(expected);
      expect(given).toEqual(kept);
    }),
    { seed: 53, numRuns: 200 },
  );
});
