import { describe, expect, it } from 'vitest';
import { sayOnItsWay, sayOrderDelivery } from '../../../daemon/words/delivery-words.ts';
import { sayIn } from '../../../daemon/words/language.ts';

describe('what is said of an order at an output', () => {
  it.each([
    ['accepted', 'plan.json written', 'file: accepted, plan.json written'],
    [
      'rejected',
      'too large',
      'file: NOT TAKEN, the receiver does not have it (rejected, too large)',
    ],
    [
      'unknown',
      'the broker is away',
      'file: NOT TAKEN, as far as anyone knows the receiver does not have it yet (unknown, the broker is away)',
    ],
    [
      null,
      '',
      'file: NOT TAKEN, as far as anyone knows the receiver does not have it yet (not sent yet)',
    ],
  ] as const)('%s', (lastAnswer, lastDetail, line) => {
    expect(sayOrderDelivery({ output: 'file', lastAnswer, lastDetail }, sayIn('en'))).toBe(line);
  });

  it('begins with no receiver, whatever the outputs are', () => {
    expect(sayOnItsWay(['file', 'mqtt'], sayIn('en'))).toBe(
      'No receiver has it yet: it goes to file, mqtt now.',
    );
    expect(sayOnItsWay([], sayIn('en'))).toBe('No output is configured: nothing is sent anywhere.');
  });
});
