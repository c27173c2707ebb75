import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { z } from 'zod';
import { quantity, readQuantity } from '../../adapters/quantity.ts';
import { QUANTITY_KINDS, type QuantityKind } from '../../adapters/quantity-units.ts';
import { EXACT_CONVERSIONS, ROUNDED_CONVERSIONS } from '../tables/unit-conversions.ts';

const KINDS = Object.keys(QUANTITY_KINDS) as QuantityKind[];

function read(text: string, kind: QuantityKind): number {
  const reading = readQuantity(text, kind);
  if (!reading.ok) throw new Error(reading.message);
  return reading.value;
}

describe('published conversions', () => {
  it('are all there', () => {
    expect(EXACT_CONVERSIONS).toHaveLength(19);
    expect(ROUNDED_CONVERSIONS).toHaveLength(4);
  });

  it.each([...EXACT_CONVERSIONS, ...ROUNDED_CONVERSIONS])(
    '%s is a %s of %f',
    (text, kind, published, tolerance) => {
      expect(Math.abs(read(text, kind) - published)).toBeLessThanOrEqual(tolerance);
    },
  );
});

describe('spellings of the trade', () => {
  it.each([
    ['0.72 in/h', 'rate', 18.288],
    ['0.72 in/hr', 'rate', 18.288],
    ['18 mm/h', 'rate', 18],
    ['18mm/hr', 'rate', 18],
    ['27.4 gpm', 'flow', 103.720282882],
    ['27.4 GPM', 'flow', 103.720282882],
    ['900 gal/min', 'flow', 3406.8706056],
    ['3 lpm', 'flow', 3],
    ['85 °F', 'temperature', 29.4444444444],
    ['85F', 'temperature', 29.4444444444],
    ['30 °C', 'temperature', 30],
    ['65 ft', 'length', 19.812],
    ["65 '", 'length', 19.812],
    ['0.06"', 'depth', 1.524],
    ['1.5 mm', 'depth', 1.5],
    ['5000 ft2', 'area', 464.5152],
    ['5000 ft^2', 'area', 464.5152],
    ['5000 sq ft', 'area', 464.5152],
    ['465 m²', 'area', 465],
    ['2 acres', 'area', 8093.7128448],
    ['150 s', 'duration_s', 150],
    ['3 min', 'duration_s', 180],
    ['2 h', 'duration_s', 7200],
    ['2 hours', 'duration_min', 120],
    ['-30 min', 'duration_min', -30],
    ['35 %', 'fraction', 0.35],
    ['.5 mm', 'depth', 0.5],
    ['1e1 mm', 'depth', 10],
    ['1200 µS/cm', 'salinity', 1.2],
    ['1.2 mS/cm', 'salinity', 1.2],
    ['180°', 'angle', 180],
  ] as const)('%s (%s) is %f', (text, kind, expected) => {
    expect(read(text, kind)).toBe(expected);
  });
});

describe('texts that are refused', () => {
  it.each([
    [
      '18',
      'rate',
      'has no unit (got 18); write a rate of water as a number and one of mm/h, cm/h, in/h',
    ],
    [
      '18 mm',
      'rate',
      'has a unit that does not fit here (got 18 mm); write a rate of water as a number and one of mm/h, cm/h, in/h',
    ],
    [
      'fast',
      'speed',
      'is not a number with a unit (got fast); write a speed as a number and one of m/s, km/h, mph, kn',
    ],
    [
      '1,5 mm',
      'depth',
      'has a unit that does not fit here (got 1,5 mm); write a depth of water or sand as a number and one of mm, cm, in',
    ],
    ['-500 °F', 'temperature', 'is below absolute zero (got -500 °F); correct the temperature'],
    ['1e999 mm', 'depth', 'is too large to use (got 1e999 mm); correct it'],
    ['35', 'fraction', 'has no unit (got 35); write a percentage as a number and %'],
  ] as const)('%s as %s', (text, kind, message) => {
    expect(readQuantity(text, kind)).toEqual({ ok: false, message });
  });

  it('names the bound in the unit of the project', () => {
    expect(readQuantity('5 in/h', 'rate', { max: 100 })).toEqual({
      ok: false,
      message: 'is too large (got 5 in/h); use 100 mm/h or less, or 5 mm/h if meant',
    });
    expect(readQuantity('-5 gpm', 'flow', { min: 0.1 })).toEqual({
      ok: false,
      message: 'is too small (got -5 gpm); use 0.1 L/min or more',
    });
    expect(readQuantity('90 %', 'fraction', { max: 0.8 })).toEqual({
      ok: false,
      message: 'is too large (got 90 %); use 80 % or less',
    });
  });
});

describe('the schema', () => {
  const schema = z.strictObject({ rate: quantity('rate', { max: 100 }).prefault('18 mm/h') });

  it('takes text, gives the number, and fills in the default as a person writes it', () => {
    expect(schema.parse({ rate: '1 in/h' })).toEqual({ rate: 25.4 });
    expect(schema.parse({})).toEqual({ rate: 18 });
  });

  it.each([
    [18, 'has no unit (got 18)'],
    [true, 'is not a number with a unit (got true)'],
    [[], 'is not a number with a unit (got a list)'],
    [{}, 'is not a number with a unit (got a map)'],
    [null, 'is missing'],
  ])('refuses %j', (value, message) => {
    const issues = schema.safeParse({ rate: value }).error?.issues;
    expect(issues?.map((issue) => issue.message)).toEqual([
      `${message}; write a rate of water as a number and one of mm/h, cm/h, in/h`,
    ]);
  });

  it('carries its unit into the JSON schema', () => {
    const json = z.toJSONSchema(schema, { io: 'input' });
    expect(json.properties).toMatchObject({
      rate: { type: 'string', unit: 'mm/h', default: '18 mm/h' },
    });
  });
});

describe('every kind', () => {
  const kindAndUnit = fc
    .constantFrom(...KINDS)
    .chain((kind) => fc.tuple(fc.constant(kind), fc.constantFrom(...QUANTITY_KINDS[kind].units)));
  const amount = fc.double({ min: 0.01, max: 5000, noNaN: true });

  it('goes through each of its units and back', () => {
    fc.assert(
      fc.property(kindAndUnit, amount, ([kind, unit], value) => {
        const scale = read(`1 ${unit.shown}`, kind) - read(`0 ${unit.shown}`, kind);
        const offset = read(`0 ${unit.shown}`, kind);
        const back = (read(`${value} ${unit.shown}`, kind) - offset) / scale;
        expect(Math.abs(back - value)).toBeLessThanOrEqual(Math.max(value, 100) * 1e-9);
      }),
      { seed: 11, numRuns: 500 },
    );
  });

  it('never throws and never gives a number that is not finite', () => {
    const text = fc.oneof(
      fc.string(),
      fc.tuple(fc.double(), fc.string()).map(([number, unit]) => `${number} ${unit}`),
    );
    fc.assert(
      fc.property(fc.constantFrom(...KINDS), text, (kind, written) => {
        const reading = readQuantity(written, kind);
        if (reading.ok) expect(Number.isFinite(reading.value)).toBe(true);
        else expect(reading.message).toMatch(/^is |^has /);
      }),
      { seed: 12, numRuns: 500 },
    );
  });

  it('takes each spelling once', () => {
    for (const kind of KINDS) {
      const units: readonly { shown: string; also?: readonly string[] }[] =
        QUANTITY_KINDS[kind].units;
      const spellings = units.flatMap(({ also = [] }) => also);
      expect(new Set(spellings).size, kind).toBe(spellings.length);
      for (const unit of units) {
        for (const spelling of unit.also ?? []) {
          expect(read(`7 ${spelling}`, kind), spelling).toBe(read(`7 ${unit.shown}`, kind));
        }
      }
    }
  });
});
