import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type LookedAtBed, learnEyes } from '../../../calc/looks/eye-knowledge.ts';
import {
  type MemberLook,
  type MemberSight,
  readingSight,
  TELLING_SURFACES,
  type TellingSurface,
} from '../../../calc/looks/member-look.ts';
import { weighLooks } from '../../../calc/looks/member-weights.ts';

const MIN_MS = 60_000;
const DAY_MS = 24 * 60 * MIN_MS;
const nobody = learnEyes([]);

const surface = (name: TellingSurface): MemberSight => ({ kind: 'surface', surface: name });

function look(name: TellingSurface, leftFractions: readonly number[], more = {}): MemberLook {
  return {
    atMs: 0,
    who: 'a keeper',
    sight: surface(name),
    leftFractions,
    managedDepthMm: 8,
    ...more,
  };
}

function bedOf(looks: readonly MemberLook[], prior: readonly number[] = [1, 1, 1]): LookedAtBed {
  return { bedId: 'bed', prior, lossFactors: prior.map((_, member) => 1 + member / 10), looks };
}

const asked = { eyes: nobody, nowMs: 0, managedDepthMm: 8 };

describe('the weights of the members', () => {
  it('are the prior before any look', () => {
    const { weights, steps } = weighLooks(bedOf([], [1, 2, 1]), asked);
    expect(weights).toEqual([0.25, 0.5, 0.25]);
    expect(steps).toEqual([]);
  });

  it('after a dry surface are greatest for a member that was dry', () => {
    const { weights, steps } = weighLooks(bedOf([look('dry', [-0.5, 0.3, 0.9])]), asked);
    expect(weights[0]).toBeGreaterThan(0.7);
    // A member on which only a wrong look could be dry has an eighth of that, at the least.
    expect((weights[0] ?? 0) / (weights[2] ?? 1)).toBeLessThanOrEqual(8 + 1e-9);
    expect(steps[0]?.before).toEqual([1 / 3, 1 / 3, 1 / 3]);
    expect(steps[0]?.after).toEqual(weights);
    expect(steps[0]?.isSetAside).toBe(false);
  });

  it('set aside a dry look that no member expected, and are hardly moved by it', () => {
    const { weights, steps } = weighLooks(bedOf([look('dry', [0.85, 0.9, 0.95])]), asked);
    expect(steps[0]?.isSetAside).toBe(true);
    expect(steps[0]?.trustFraction).toBeLessThan(0.01);
    for (const weight of weights) expect(weight).toBeCloseTo(1 / 3, 3);
    const pale = weighLooks(bedOf([look('dry', [0.25, 0.25, 0.25])]), asked);
    expect(pale.steps[0]?.isSetAside).toBe(true);
    // A dark one that no member expected is as doubtful, and no reason to worry.
    const dark = weighLooks(bedOf([look('dark', [-0.9, -0.8, -0.7])]), asked);
    expect(dark.steps[0]?.trustFraction).toBeLessThan(0.01);
    expect(dark.steps[0]?.isSetAside).toBe(false);
  });

  it('follow a probe’s reading, in each member’s own sand', () => {
    const sight = readingSight([0.2, 0.2, 0.2], false);
    const { weights } = weighLooks(bedOf([look('dry', [0.2, 0.6, 1], { sight })]), asked);
    expect(weights[0]).toBeGreaterThan(weights[1] ?? 1);
    expect(weights[1]).toBeGreaterThan(weights[2] ?? 1);
    const own = readingSight([0.2, 0.6, 1], false);
    const same = weighLooks(bedOf([look('dry', [0.2, 0.6, 1], { sight: own })]), asked);
    for (const weight of same.weights) expect(weight).toBeCloseTo(1 / 3, 12);
    const { steps } = weighLooks(
      bedOf([look('dry', [1, 1.2, 1.4], { sight: readingSight([-0.4, -0.4, -0.4], false) })]),
      asked,
    );
    expect(steps[0]?.isSetAside).toBe(true);
  });

  it('count looks of one person within twenty minutes once, the last of them', () => {
    const left = [-0.4, 0.2, 0.8];
    const dry = look('dry', left);
    const dark = look('dark', left, { atMs: 19 * MIN_MS });
    const both = weighLooks(bedOf([dry, dark]), asked);
    const last = weighLooks(bedOf([dark]), asked);
    both.weights.forEach((weight, member) => {
      expect(weight).toBeCloseTo(last.weights[member] ?? 0, 12);
    });
    expect(both.steps.map(({ isCounted }) => isCounted)).toEqual([false, true]);
    expect(both.steps[0]?.after).toEqual(both.steps[0]?.before);
    const thrice = weighLooks(bedOf([dry, { ...dry, atMs: 10 * MIN_MS }, dark]), asked);
    expect(thrice.steps.map(({ isCounted }) => isCounted)).toEqual([false, false, true]);
    const apart = weighLooks(bedOf([dry, { ...dark, atMs: 20 * MIN_MS }]), asked);
    expect(apart.steps.map(({ isCounted }) => isCounted)).toEqual([true, true]);
    const another = weighLooks(bedOf([dry, { ...dark, who: 'another' }]), asked);
    expect(another.steps.every(({ isCounted }) => isCounted)).toBe(true);
    const sight = readingSight([0, 0, 0], false);
    const probed = weighLooks(bedOf([dry, { ...dry, sight }]), asked);
    expect(probed.steps.every(({ isCounted }) => isCounted)).toBe(true);
  });

  it('fade until now', () => {
    const looks = [look('dry', [-0.4, 0.2, 0.8])];
    const ratio = (days: number) => {
      const { weights } = weighLooks(bedOf(looks), { ...asked, nowMs: days * DAY_MS });
      return Math.log((weights[0] ?? 0) / (weights[2] ?? 1));
    };
    expect(ratio(10)).toBeCloseTo(0.98 ** 10 * ratio(0), 9);
  });

  it('let go of the store, not of the loss, when the bed is watered for another depth', () => {
    const lossFactors = [1, 1.4, 1, 1.4];
    const bed = { ...bedOf([look('dry', [-0.4, -0.5, 0.8, -0.3])], [1, 1, 1, 1]), lossFactors };
    const same = weighLooks(bed, asked).weights;
    const deeper = weighLooks(bed, { ...asked, managedDepthMm: 18 }).weights;
    expect(same[2]).toBeLessThan((same[0] ?? 0) / 4);
    expect(deeper[2]).toBeCloseTo(deeper[0] ?? 0, 9);
    const high = (weights: readonly number[]) => (weights[1] ?? 0) + (weights[3] ?? 0);
    expect(high(deeper)).toBeCloseTo(high(same), 5);
    expect(high(deeper)).toBeGreaterThan(0.55);
  });

  it('refuse lists of different lengths, factors of 0 and looks out of order', () => {
    expect(() => weighLooks(bedOf([look('dry', [0, 1])]), asked)).toThrow(RangeError);
    expect(() => weighLooks({ ...bedOf([]), lossFactors: [1, 1, 0] }, asked)).toThrow(RangeError);
    expect(() => weighLooks({ ...bedOf([]), lossFactors: [1] }, asked)).toThrow(RangeError);
    const [early, late] = [look('dry', [0, 0, 0]), look('dry', [0, 0, 0], { atMs: 5 })];
    expect(() => weighLooks(bedOf([late, early]), asked)).toThrow(RangeError);
  });
});

const MEMBERS = 5;
const sights = fc.oneof(
  fc.constantFrom(...TELLING_SURFACES).map(surface),
  fc
    .array(fc.double({ min: -0.5, max: 1.5, noNaN: true }), {
      minLength: MEMBERS,
      maxLength: MEMBERS,
    })
    .map((parts) => readingSight(parts, true)),
);
const anyLook = fc.record({
  who: fc.constantFrom('a', 'b'),
  sight: sights,
  leftFractions: fc.array(fc.double({ min: -1, max: 1.2, noNaN: true }), {
    minLength: MEMBERS,
    maxLength: MEMBERS,
  }),
  managedDepthMm: fc.constantFrom(8, 8, 8, 18),
  laterMs: fc.integer({ min: 0, max: DAY_MS }),
});
const anyBed = fc
  .record({
    prior: fc.array(fc.double({ min: 0.01, max: 1, noNaN: true }), {
      minLength: MEMBERS,
      maxLength: MEMBERS,
    }),
    drawn: fc.array(anyLook, { minLength: 1, maxLength: 40 }),
  })
  .map(({ prior, drawn }) => {
    let atMs = 0;
    const looks = drawn.map(({ laterMs, ...one }): MemberLook => {
      atMs += laterMs;
      return { ...one, atMs };
    });
    return { ...bedOf(looks, prior), nowMs: atMs };
  });

describe('whatever is seen', () => {
  it('weights are above 0 and sum to 1', () => {
    fc.assert(
      fc.property(anyBed, ({ nowMs, ...bed }) => {
        const eyes = learnEyes([{ ...bed, bedId: 'another' }]);
        const { weights, steps } = weighLooks(bed, { eyes, nowMs, managedDepthMm: 8 });
        for (const one of [weights, ...steps.flatMap(({ before, after }) => [before, after])]) {
          expect(one.reduce((all, weight) => all + weight, 0)).toBeCloseTo(1, 12);
          // Priors differ up to a hundredfold, looks by 1000 and one more of 13.
          expect(Math.min(...one)).toBeGreaterThan(0.01 / MEMBERS / 13_000);
        }
      }),
      { seed: 5, numRuns: 150 },
    );
  });

  it('a look never makes a wetter bed dry', () => {
    fc.assert(
      fc.property(anyBed, ({ nowMs, ...bed }) => {
        const eyes = learnEyes([{ ...bed, bedId: 'another' }]);
        const { steps } = weighLooks(bed, { eyes, nowMs, managedDepthMm: 8 });
        bed.looks.forEach(({ sight, leftFractions }, index) => {
          const step = steps[index];
          if (sight.kind !== 'surface' || step === undefined) return;
          const dryShare = (weights: readonly number[]) =>
            weights.reduce(
              (all, weight, member) => all + ((leftFractions[member] ?? 1) <= 0 ? weight : 0),
              0,
            );
          const change = dryShare(step.after) - dryShare(step.before);
          // The normal distribution function is good to 7.5e-8, against chances of 0.1 at the least.
          if (sight.surface === 'dark') expect(change).toBeLessThanOrEqual(1.5e-6);
          if (sight.surface === 'dry') expect(change).toBeGreaterThanOrEqual(-1.5e-6);
        });
      }),
      { seed: 6, numRuns: 300 },
    );
  });
});
