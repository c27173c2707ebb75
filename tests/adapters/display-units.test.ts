import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type DisplayUnits, display } from '../../adapters/display-units.ts';
import { readQuantity } from '../../adapters/quantity.ts';

const us = display('us');
const metric = display('metric');

describe('numbers with the person’s unit', () => {
  it.each([
    [us.rate(18.288), '0.72 in/h'],
    [metric.rate(18.288), '18.3 mm/h'],
    [us.flow(103.72), '27.4 gpm'],
    [metric.flow(103.72), '104 L/min'],
    [us.temp(29.4444), '85 °F'],
    [metric.temp(29.4444), '29.4 °C'],
    [us.temp(-17.7778), '0 °F'],
    [metric.temp(-0.01), '0.0 °C'],
    [us.speed(5.36448), '12 mph'],
    [metric.speed(5.36448), '5.4 m/s'],
    [us.area(464.5152), '5000 ft²'],
    [metric.area(464.5152), '465 m²'],
    [us.length(19.812), '65.0 ft'],
    [metric.length(19.812), '19.8 m'],
    [us.volume(454.2494), '120 gal'],
    [metric.volume(454.2494), '454 L'],
    [us.pressure(551.58), '80 psi'],
    [metric.pressure(551.58), '552 kPa'],
    [us.depth(1.524), '0.060 in'],
    [us.depth(-0.001), '0.000 in'],
    [metric.depth(1.524), '1.52 mm'],
    [metric.depth(-0.001), '0.00 mm'],
    [us.fraction(0.354), '35 %'],
  ])('%s', (shown, expected) => {
    expect(shown).toBe(expected);
  });
});

describe('durations', () => {
  it.each([
    [0, '0 s'],
    [45, '45 s'],
    [150, '2 min 30 s'],
    [180, '3 min'],
    [185, '3 min 05 s'],
    [3599, '59 min 59 s'],
    [3599.6, '1 h'],
    [7199, '2 h'],
    [7500, '2 h 05 min'],
    [-90, '-1 min 30 s'],
    [-0.2, '0 s'],
  ])('%f s', (durationS, expected) => {
    expect(us.duration(durationS)).toBe(expected);
    expect(metric.duration(durationS)).toBe(expected);
  });
});

describe('what is shown can be written into the config', () => {
  const cases = [
    { kind: 'rate', show: 'rate', halfUnit: { us: 0.127, metric: 0.05 } },
    { kind: 'flow', show: 'flow', halfUnit: { us: 0.19, metric: 0.5 } },
    { kind: 'temperature', show: 'temp', halfUnit: { us: 0.28, metric: 0.05 } },
    { kind: 'speed', show: 'speed', halfUnit: { us: 0.224, metric: 0.05 } },
    { kind: 'area', show: 'area', halfUnit: { us: 0.0465, metric: 0.5 } },
    { kind: 'length', show: 'length', halfUnit: { us: 0.0153, metric: 0.05 } },
    { kind: 'volume', show: 'volume', halfUnit: { us: 1.893, metric: 0.5 } },
    { kind: 'pressure', show: 'pressure', halfUnit: { us: 3.448, metric: 0.5 } },
  ] as const;

  it.each(cases)('$kind reads back within half of the last digit shown', (one) => {
    const units = fc.constantFrom<DisplayUnits>('us', 'metric');
    fc.assert(
      fc.property(units, fc.double({ min: 0, max: 5000, noNaN: true }), (unit, value) => {
        const reading = readQuantity(display(unit)[one.show](value), one.kind);
        if (!reading.ok) throw new Error(reading.message);
        expect(Math.abs(reading.value - value)).toBeLessThanOrEqual(one.halfUnit[unit] + 1e-6);
      }),
      { seed: 13, numRuns: 200 },
    );
  });
});
