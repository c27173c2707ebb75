import { describe, expect, it } from 'vitest';
import { errorDraws } from '../../../calc/futures/error-draws.ts';
import { DAY_AHEAD, grownFraction, grownSize } from '../../../calc/futures/forecast-errors.ts';
import { selectedDraws, spreadFraction } from '../../../calc/futures/member-selection.ts';

const DRAWS = 1500;
const HOURS = 49;
const { values } = errorDraws({ draws: DRAWS, hours: HOURS });
/** The errors of all draws and fields in an hour. */
const at = (hour: number) =>
  Array.from({ length: DRAWS * 4 }, (_, one) => values[one * HOURS + hour] ?? 0);
const mean = (list: number[]) => list.reduce((sum, one) => sum + one, 0) / list.length;
const spread = (list: number[]) => Math.sqrt(mean(list.map((one) => one ** 2)) - mean(list) ** 2);
const correlation = (a: number[], b: number[]) =>
  (mean(a.map((one, index) => one * (b[index] ?? 0))) - mean(a) * mean(b)) /
  (spread(a) * spread(b));

describe('errors of size one', () => {
  it('are centred, with a daily part of 1 and a wobble of a third', () => {
    for (const hour of [0, 7, 23, 24, 48]) {
      expect(Math.abs(mean(at(hour)))).toBeLessThan(0.05);
      expect(spread(at(hour))).toBeCloseTo(Math.sqrt(1 + 1 / 9), 1);
    }
  });

  it('last for the day, and half into the next', () => {
    // Daily part 1 of 10/9; of the wobble's 1/9 a part of exp(-h / 3) is left.
    expect(correlation(at(6), at(18))).toBeCloseTo((1 + Math.exp(-4) / 9) / (10 / 9), 1);
    expect(correlation(at(6), at(7))).toBeCloseTo((1 + Math.exp(-1 / 3) / 9) / (10 / 9), 1);
    expect(correlation(at(12), at(36))).toBeCloseTo(0.5 / (10 / 9), 1);
  });

  it('differ between fields and draws', () => {
    const series = (one: number) =>
      Array.from({ length: DRAWS }, (_, draw) => values[(draw * 4 + one) * HOURS + 9] ?? 0);
    expect(Math.abs(correlation(series(0), series(1)))).toBeLessThan(0.08);
    expect(Math.abs(correlation(series(0), series(3)))).toBeLessThan(0.08);
  });

  it('begin alike however many hours are asked for', () => {
    const short = errorDraws({ draws: 5, hours: 10 });
    const long = errorDraws({ draws: 5, hours: 30 });
    for (let one = 0; one < 20; one++) {
      expect([...short.values.slice(one * 10, one * 10 + 10)]).toEqual([
        ...long.values.slice(one * 30, one * 30 + 10),
      ]);
    }
  });
});

describe('growth with lead time', () => {
  it('begins at nothing and ends at the full size', () => {
    expect(grownFraction(0)).toBe(0);
    // 1 - exp(-2) of the variance after three hours.
    expect(grownFraction(3)).toBeCloseTo(0.93, 2);
    expect(grownFraction(24)).toBeCloseTo(1, 6);
    expect(grownSize(DAY_AHEAD, 24).airTempK).toBeCloseTo(1.7, 5);
    // Of a forecast that is moved an error grows for as long as the move fades.
    expect(grownFraction(3, true)).toBeCloseTo(Math.sqrt(1 - Math.exp(-0.5)), 9);
    expect(() => grownFraction(-1)).toThrow(RangeError);
    expect(() => grownFraction(Number.NaN)).toThrow(RangeError);
  });
});

describe('draws that are selected', () => {
  it('are one of each stratum, evenly over what comes later', () => {
    const count = 24;
    const first = Float64Array.from({ length: 240 }, (_, one) => (one * 37) % 240);
    const later = Float64Array.from({ length: 240 }, (_, one) => (one * 101) % 240);
    const chosen = selectedDraws({ first, later }, count);
    expect(chosen.map((draw) => Math.floor((first[draw] ?? 0) / 10))).toEqual(
      Array.from({ length: count }, (_, stratum) => stratum),
    );
    const laterMean = mean(chosen.map((draw) => later[draw] ?? 0));
    expect(Math.abs(laterMean - 119.5)).toBeLessThan(15);
  });

  it('cannot be more than there are, or none', () => {
    const three = { first: Float64Array.of(3, 1, 2), later: Float64Array.of(0, 0, 0) };
    expect(selectedDraws(three, 3)).toEqual([1, 2, 0]);
    for (const count of [0, 4, 1.5]) expect(() => selectedDraws(three, count)).toThrow(RangeError);
  });

  it('take positions that lie apart', () => {
    const positions = Array.from({ length: 24 }, (_, member) => spreadFraction(member)).sort(
      (a, b) => a - b,
    );
    const gaps = positions.map((one, index) => one - (positions[index - 1] ?? 0));
    expect(Math.max(...gaps)).toBeLessThan(0.08);
  });
});
