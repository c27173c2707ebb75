import { describe, expect, it } from 'vitest';
import { sayOnItsWay, sayOrderDelivery } from '../../../daemon/words/delivery-words.ts';

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
      'file: NOT TAKEN, the receiver does not have it yet, as far as anyone knows (unknown, the broker is away)',
    ],
    [
      null,
      '',
      'file: NOT TAKEN, the receiver does not have it yet, as far as anyone knows (not sent yet)',
    ],
  ] as const)('%s', (lastAnswer, lastDetail, line) => {
    expect(sayOrderDelivery({ output: 'file', lastAnswer, lastDetail })).toBe(line);
  });

  it('begins with no receiver, whatever the outputs are', () => {
    expect(sayOnItsWay(['file', 'mqtt'])).toBe(
      'No receiver has it yet: it goes to file, mqtt now.',
    );
    expect(sayOnItsWay([])).toBe('No output is configured: nothing is sent anywhere.');
  });
});
