import { describe, expect, it } from 'vitest';
import { sunPosition } from '../../../calc/sky/sun-times.ts';

describe('where the sun stands', () => {
  it('is as in the worked examples of Meeus (25.a and 28.b, from memory), 13 October 1992', () => {
    const { declinationDeg, equationOfTimeMin } = sunPosition(Date.UTC(1992, 9, 13));
    expect(declinationDeg).toBeCloseTo(-7.78507, 5);
    // 13 min 42.7 s.
    expect(Math.abs(equationOfTimeMin - (13 + 42.7 / 60))).toBeLessThan(0.05 / 60);
  });

  // The same series worked out apart from the program. Far from today its small terms show.
  it.each([
    [Date.UTC(1900, 1, 3, 4), -16.662751165, -14.005388022],
    [Date.UTC(1900, 7, 15, 9), 14.167215837, -4.404247412],
    [Date.UTC(2100, 2, 21, 6), 0.278130886, -7.137026843],
    [Date.UTC(2100, 10, 5, 20), -15.877390276, 16.51186047],
    [Date.UTC(2600, 4, 9, 15), 17.452226699, 2.924926942],
    [Date.UTC(1500, 0, 1), -23.106882489, -4.408185748],
    [Date.UTC(2999, 11, 30, 11), -23.030467834, -0.303562259],
  ])(
    'is as its series tells at %d ms (independent recomputation)',
    (atMs, declination, equation) => {
      const { declinationDeg, equationOfTimeMin } = sunPosition(atMs);
      expect(declinationDeg).toBeCloseTo(declination, 7);
      expect(equationOfTimeMin).toBeCloseTo(equation, 7);
    },
  );
});
