import { describe, expect, it } from 'vitest';
import {
  chanceOf,
  chancesByEye,
  chancesByMember,
  chancesOfSurfaces,
  EYE_FRACTIONS,
  type MemberSight,
  readingSight,
  surfaceSight,
  TELLING_SURFACES,
  UNKNOWN_EYE,
} from '../../../calc/looks/member-look.ts';

const seen = (surface: 'dark' | 'lightening' | 'dry'): MemberSight => ({
  kind: 'surface',
  surface,
});
const parts = Array.from({ length: 81 }, (_, index) => -0.5 + index / 40);

describe('the surfaces that tell of the store', () => {
  it('are the three of a drying bed: a puddle and a wash tell nothing of its driest spot', () => {
    expect(surfaceSight('puddle')).toBeNull();
    expect(surfaceSight('wash')).toBeNull();
    for (const surface of TELLING_SURFACES) expect(surfaceSight(surface)).toEqual(seen(surface));
  });
});

describe('the chance of a surface', () => {
  it('is that of a normal distribution, one in five looks being wrong', () => {
    // At 0 left the spread is hypot(0.12, 0.1) = 0.156205; 0.15 lies 0.96028 of it above.
    // P(0.96028) = 0.831544 by interpolation in Abramowitz & Stegun 1964, Table 26.1 (from memory).
    const [lowest] = chancesByEye(seen('dark'), { leftFraction: 0 });
    expect(lowest?.rightFraction).toBeCloseTo(0.8 * (1 - 0.831544), 4);
    expect(lowest?.wrongFraction).toBeCloseTo(0.1 * 0.831544, 4);
    const [dry] = chancesByEye(seen('dry'), { leftFraction: 0 });
    expect(dry?.rightFraction).toBeCloseTo(0.4, 7);
    expect(dry?.wrongFraction).toBeCloseTo(0.05, 7);
  });

  it('sums to 1 over the surfaces, for each threshold and for an eye', () => {
    for (const leftFraction of parts) {
      EYE_FRACTIONS.forEach((_, eye) => {
        const sum = TELLING_SURFACES.reduce((all, surface) => {
          const chance = chancesByEye(seen(surface), { leftFraction })[eye];
          return all + (chance === undefined ? Number.NaN : chanceOf(chance));
        }, 0);
        expect(sum).toBeCloseTo(1, 12);
      });
      const { dark, lightening, dry } = chancesOfSurfaces(leftFraction, UNKNOWN_EYE);
      expect(dark + lightening + dry).toBeCloseTo(1, 12);
    }
  });

  it('of an eye is the mean over its thresholds', () => {
    const eye = EYE_FRACTIONS.map((_, index) => (index + 1) / 28);
    for (const surface of TELLING_SURFACES) {
      const byEye = chancesByEye(seen(surface), { leftFraction: 0.3 }).map(chanceOf);
      const mean = byEye.reduce((all, chance, index) => all + chance * (eye[index] ?? 0), 0);
      expect(chancesOfSurfaces(0.3, eye)[surface]).toBeCloseTo(mean, 12);
      const [member] = chancesByMember({ sight: seen(surface), leftFractions: [0.3] }, eye);
      expect(member === undefined ? Number.NaN : chanceOf(member)).toBeCloseTo(mean, 12);
    }
  });

  it('of dark rises and of dry falls with what is left, whatever the eye', () => {
    const column = (surface: 'dark' | 'dry', eye: number) =>
      parts.map((leftFraction) => {
        const chance = chancesByEye(seen(surface), { leftFraction })[eye];
        return chance === undefined ? Number.NaN : chanceOf(chance);
      });
    EYE_FRACTIONS.forEach((_, eye) => {
      const [dark, dry] = [column('dark', eye), column('dry', eye)];
      for (let index = 1; index < parts.length; index++) {
        // The distribution function itself is good to 7.5e-8.
        expect(dark[index]).toBeGreaterThan((dark[index - 1] ?? 1) - 1.5e-7);
        expect(dry[index]).toBeLessThan((dry[index - 1] ?? 0) + 1.5e-7);
      }
      expect(dark.at(-1)).toBeGreaterThan(0.79);
      expect(dry[0]).toBeGreaterThan(0.79);
    });
  });

  it('is bounded, so that no look speaks more than 8 to 1', () => {
    for (const surface of TELLING_SURFACES) {
      const all = parts.flatMap((leftFraction) =>
        chancesByEye(seen(surface), { leftFraction }).map(chanceOf),
      );
      expect(Math.min(...all)).toBeGreaterThanOrEqual(0.1 - 1e-9);
      expect(Math.max(...all)).toBeLessThanOrEqual(0.8 + 1e-9);
    }
  });

  it('is told of numbers alone', () => {
    expect(() => chancesByEye(seen('dry'), { leftFraction: Number.NaN })).toThrow(RangeError);
  });
});

describe('the chance of a reading', () => {
  it('is the density of its spread and the state’s together, or anywhere over two stores', () => {
    const sight = readingSight([0.5, 0.5], false);
    const [on, beside] = chancesByMember(
      { sight, leftFractions: [0.5, 0.5 + 0.26926] },
      UNKNOWN_EYE,
    );
    // hypot(0.25, 0.1) = 0.269258; densities 0.398942 and 0.241971 of the standard normal at 0 and 1.
    expect(on?.rightFraction).toBeCloseTo((0.8 * 0.398942) / 0.269258, 4);
    expect(beside?.rightFraction).toBeCloseTo((0.8 * 0.241971) / 0.269258, 4);
    expect(on?.wrongFraction).toBeCloseTo(0.1, 12);
    expect(chanceOf(on ?? { rightFraction: 0, wrongFraction: 0 }) / 0.1).toBeLessThan(13);
  });

  it('is wider before emergence, and the same for every eye', () => {
    const [after, before] = [false, true].map((early) => {
      const sight = readingSight([0.2], early);
      return chancesByEye(sight, { leftFraction: 0.2, readFraction: 0.2 }).map(chanceOf);
    });
    expect(before?.[0]).toBeLessThan((after?.[0] ?? 0) / 2);
    expect(new Set(after).size).toBe(1);
  });

  it('takes what it says in each member’s own sand', () => {
    const sight = readingSight([0.9, 0.1], false);
    const [first, second] = chancesByMember({ sight, leftFractions: [0.1, 0.1] }, UNKNOWN_EYE);
    expect(second?.rightFraction).toBeGreaterThan(10 * (first?.rightFraction ?? 1));
    expect(() => chancesByMember({ sight, leftFractions: [0.1] }, UNKNOWN_EYE)).toThrow(RangeError);
    expect(() => chancesByEye(sight, { leftFraction: 0.1 })).toThrow(RangeError);
  });
});
