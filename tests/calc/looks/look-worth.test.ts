import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { worthOfLooks } from '../../../calc/looks/look-worth.ts';
import { EYE_FRACTIONS, UNKNOWN_EYE } from '../../../calc/looks/member-look.ts';

const bed = (bedId: string, times: Parameters<typeof worthOfLooks>[0][number]['times']) => ({
  bedId,
  weights: [0.5, 0.5],
  times,
});

describe('what a look is worth', () => {
  it('is what it narrows the band by, worked out by hand', () => {
    // Far beyond all blur the chances are those of the share of wrong looks: "dry" has 0.8 and 0.1,
    // "dark" 0.1 and 0.8, "lightening" 0.1 and 0.1. Two members at 2 h and 6 h, as likely: a standard
    // deviation of 2 h. After dry or dark (0.45 each) odds of 8: 4 h x sqrt(8)/9 = 1.257079 h; after
    // lightening (0.1) still 2 h. 2 - 0.9 x 1.257079 - 0.1 x 2 = 0.668629; times 3.2897072.
    const [one] = worthOfLooks(
      [bed('only', [{ atMs: 7, leftFractions: [-9, 9], hoursToDry: [2, 6] }])],
      UNKNOWN_EYE,
    );
    expect(one).toMatchObject({ bedId: 'only', atMs: 7 });
    expect(one?.worthH).toBeCloseTo(0.668629 * 3.2897072, 5);
  });

  it('names the two best beds, each at its best time', () => {
    const full = { leftFractions: [1, 0.95], hoursToDry: [2, 6] };
    const telling = { leftFractions: [-0.5, 0.9], hoursToDry: [2, 6] };
    const closer = { leftFractions: [-0.5, 0.9], hoursToDry: [4, 6] };
    const closest = { leftFractions: [-0.5, 0.9], hoursToDry: [5, 6] };
    const found = worthOfLooks(
      [
        bed('less', [
          { atMs: 1, ...full },
          { atMs: 2, ...closer },
        ]),
        bed('most', [
          { atMs: 1, ...full },
          { atMs: 2, ...telling },
          { atMs: 3, ...full },
        ]),
        bed('least', [{ atMs: 1, ...closest }]),
        bed('none', []),
      ],
      UNKNOWN_EYE,
    );
    expect(found.map(({ bedId, atMs }) => [bedId, atMs])).toEqual([
      ['most', 2],
      ['less', 2],
    ]);
    expect(found[0]?.worthH).toBeCloseTo(2 * (found[1]?.worthH ?? 0), 9);
  });

  it('leaves out beds where a look tells nothing', () => {
    const same = { atMs: 1, leftFractions: [0.4, 0.4], hoursToDry: [2, 6] };
    const known = { atMs: 1, leftFractions: [-1, 1], hoursToDry: [3, 3] };
    expect(worthOfLooks([bed('same', [same]), bed('known', [known])], UNKNOWN_EYE)).toEqual([]);
  });

  it('is more with an eye that is known', () => {
    const times = [{ atMs: 1, leftFractions: [0.2, 0.4], hoursToDry: [2, 6] }];
    const known = EYE_FRACTIONS.map((eyeFraction) => (Math.abs(eyeFraction - 0.3) < 0.01 ? 1 : 0));
    const worth = (eye: readonly number[]) =>
      worthOfLooks([bed('one', times)], eye)[0]?.worthH ?? 0;
    expect(worth(known)).toBeGreaterThan(worth(UNKNOWN_EYE));
  });

  it('is never below 0, whatever is expected', () => {
    const three = (min: number, max: number) =>
      fc.array(fc.double({ min, max, noNaN: true }), { minLength: 3, maxLength: 3 });
    fc.assert(
      fc.property(three(0.01, 1), three(-1, 1.2), three(0, 48), (weights, left, hours) => {
        const times = [{ atMs: 0, leftFractions: left, hoursToDry: hours }];
        const mixed = { bedId: 'any', weights, times };
        for (const { worthH } of worthOfLooks([mixed], UNKNOWN_EYE)) {
          expect(worthH).toBeGreaterThan(0);
          expect(worthH).toBeLessThan(3.29 * 24);
        }
      }),
      { seed: 4, numRuns: 200 },
    );
  });

  it('refuses lists of different lengths and hours without end', () => {
    const endless = { atMs: 1, leftFractions: [0, 1], hoursToDry: [1, Number.POSITIVE_INFINITY] };
    expect(() => worthOfLooks([bed('one', [endless])], UNKNOWN_EYE)).toThrow(RangeError);
    const short = { atMs: 1, leftFractions: [0], hoursToDry: [1, 2] };
    expect(() => worthOfLooks([bed('one', [short])], UNKNOWN_EYE)).toThrow(RangeError);
  });
});
