import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type ExpectedLook,
  HIGHEST_EXPOSURE_FACTOR,
  KNOWN_SAND,
  LOWEST_CAPACITY_FACTOR,
  learnBed,
} from '../../../calc/looks/learn-bed.ts';
import { type Surface, sightOf } from '../../../calc/looks/look-evidence.ts';

const DAY_MS = 24 * 3_600_000;
const asked = { beginning: KNOWN_SAND, managedDepthMm: 8 };

/** A look at a bed that has lost this part of its store since it was full. */
function look(surface: Surface, lostFraction: number, atMs = 0): ExpectedLook {
  const sight = sightOf(surface);
  if (sight === null) throw new Error(`${surface} teaches nothing`);
  return {
    atMs,
    sight,
    lostLog: Math.log(lostFraction),
    capacityFraction: 1,
    exposureFraction: 1,
    byCapacityCoefficient: -1,
    byExposureCoefficient: 1,
    managedDepthMm: 8,
  };
}

describe('what a bed’s looks teach', () => {
  it('nothing without looks', () => {
    const { learned, steps } = learnBed([], asked);
    expect(learned.capacityFraction).toBeCloseTo(1, 12);
    expect(learned.exposureFraction).toBeCloseTo(1, 12);
    expect(learned.looks).toBe(0);
    expect(steps).toEqual([]);
  });

  it('a bed that dries early holds less or loses more, at once', () => {
    const early = learnBed([look('dry', 0.7)], asked).learned;
    expect(early.capacityFraction).toBeLessThan(0.97);
    expect(early.exposureFraction).toBeGreaterThan(1.03);
  });

  it('a bed that stays dark, however often and however long, is trusted no further', () => {
    const looks = Array.from({ length: 30 }, (_, index) => look('dark', 1.1, index * DAY_MS));
    const { learned, steps } = learnBed(looks, asked);
    expect(learned.capacityFraction).toBe(1);
    expect(learned.exposureFraction).toBe(1);
    expect(steps.some((step) => step.isSetAside)).toBe(false);
    // So that the first dry one counts as much as on a bed that nobody has looked at.
    const early = learnBed([...looks, look('dry', 0.7, 30 * DAY_MS)], asked).learned;
    expect(early).toMatchObject({
      ...learnBed([look('dry', 0.7)], asked).learned,
      looks: 31,
    });
  });

  it('a bed that stays dark takes back what one dry look had taught', () => {
    const dry = look('dry', 0.7);
    const dark = Array.from({ length: 4 }, (_, index) => look('dark', 0.75, (index + 1) * DAY_MS));
    const once = learnBed([dry], asked).learned;
    const since = learnBed([dry, ...dark], asked).learned;
    const ratio = (one: typeof once) => one.exposureFraction / one.capacityFraction;
    expect(ratio(since)).toBeLessThan(0.9 * ratio(once));
    expect(ratio(since)).toBeGreaterThanOrEqual(1);
  });

  it('lightening teaches nothing that the earliest eye may have meant', () => {
    const { learned } = learnBed([look('lightening', 0.6)], asked);
    expect(learned.exposureFraction / learned.capacityFraction).toBeLessThan(1.15);
    const dry = learnBed([look('dry', 0.6)], asked).learned;
    expect(dry.exposureFraction / dry.capacityFraction).toBeGreaterThan(1.3);
  });

  it('finds a factor that ten looks agree on', () => {
    // The truth loses 1.5 times what is expected: lightening is seen while 0.47 to 0.67 is lost.
    const lost = [0.4, 0.5, 0.7, 0.6, 0.45, 0.8, 0.55, 0.65, 0.42, 0.5];
    const looks = lost.map((part, day) => {
      const left = 1 - 1.5 * part;
      const seen = left > 0.3 ? 'dark' : left > 0 ? 'lightening' : 'dry';
      return look(seen, part, (day * DAY_MS) / 3);
    });
    const { learned } = learnBed(looks, asked);
    const ratio = learned.exposureFraction / learned.capacityFraction;
    expect(ratio).toBeGreaterThan(1.35);
    expect(ratio).toBeLessThan(1.65);
  });

  it('sets aside a look that does not fit, and is hardly moved by it', () => {
    const { learned, steps } = learnBed([look('dry', 0.15)], asked);
    expect(steps[0]?.isSetAside).toBe(true);
    expect(learned.setAside).toBe(1);
    expect(Math.abs(Math.log(learned.exposureFraction))).toBeLessThan(0.05);
  });

  it('never lengthens a time to dry, and keeps within its bounds, whatever is seen', () => {
    const surfaces = fc.constantFrom<Surface>('dark', 'lightening', 'dry');
    const parts = fc.double({ min: 0.05, max: 1.1, noNaN: true });
    fc.assert(
      fc.property(fc.array(fc.tuple(surfaces, parts), { maxLength: 40 }), (seen) => {
        const looks = seen.map(([surface, part], index) => look(surface, part, index * DAY_MS));
        const { learned } = learnBed(looks, asked);
        const { capacityFraction, exposureFraction } = learned;
        expect(capacityFraction).toBeGreaterThanOrEqual(LOWEST_CAPACITY_FACTOR - 1e-12);
        expect(capacityFraction).toBeLessThanOrEqual(1);
        expect(exposureFraction).toBeGreaterThanOrEqual(1);
        expect(exposureFraction).toBeLessThanOrEqual(HIGHEST_EXPOSURE_FACTOR + 1e-12);
      }),
      { seed: 5, numRuns: 100 },
    );
  });

  it('lets go of the capacity, not of the exposure, when the bed is watered for another depth', () => {
    const looks = [look('dry', 0.7), look('dry', 0.7, DAY_MS)];
    const deeper = learnBed(looks, { ...asked, managedDepthMm: 18 }).learned;
    expect(deeper.capacityFraction).toBeCloseTo(1, 12);
    expect(deeper.exposureFraction).toBeGreaterThan(1.03);
  });
});
