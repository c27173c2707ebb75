import { requireNumbers } from './require-number.ts';

/** One head in a regular layout. */
export interface HeadLayout {
  /** Flow of one head, not of the station, L/min. */
  flowLPerMin: number;
  /** Distance between heads along a row, m. */
  headSpacingM: number;
  /** Distance between rows, m: in a triangular layout already 0.866 x the head spacing. */
  rowSpacingM: number;
  /** Part of the circle that the head waters, 1 to 360 degrees; a full circle when left out. */
  arcDeg?: number;
}

/**
 * Gross precipitation rate of a head in a regular square, rectangular or triangular layout, mm/h.
 *
 * Every head owns the rectangle head spacing x row spacing, so the rate is its flow over that area.
 * A part circle puts the same nozzle's flow on its part of the circle: on a half circle the rate
 * doubles. Assumes full overlap; loss in flight is not taken off. A triangular layout has its 0.866
 * in the row spacing: dividing by it again counts it twice.
 *
 * @param layout flow above 0 L/min, spacings above 0 m, arc above 0 and at most 360 degrees.
 * @throws RangeError when an input is outside its range.
 * Source: P = 96.3 q / A in gallons a minute, feet and inches an hour (New Mexico State University,
 * SOIL 456 notes); in SI 1 L on 1 m² is 1 mm, so the constant is 60 minutes.
 * @example
 * // 6 gpm (22.71 L/min), heads 30 ft (9.144 m), rows 25 ft (7.62 m): 0.770 in/h, 19.6 mm/h
 * rateFromNozzle({ flowLPerMin: 22.7125, headSpacingM: 9.144, rowSpacingM: 7.62 }); // 19.56
 */
export function rateFromNozzle(layout: HeadLayout): number {
  const { flowLPerMin, headSpacingM, rowSpacingM, arcDeg = 360 } = layout;
  requireNumbers('rateFromNozzle', {
    flowLPerMin: [flowLPerMin, { above: 0 }],
    headSpacingM: [headSpacingM, { above: 0 }],
    rowSpacingM: [rowSpacingM, { above: 0 }],
    arcDeg: [arcDeg, { above: 0, atMost: 360 }],
  });
  return ((60 * flowLPerMin) / (headSpacingM * rowSpacingM)) * (360 / arcDeg);
}

/**
 * Distance between the rows of an equilateral triangular layout, m: 0.866 x the head spacing.
 *
 * @param headSpacingM distance between heads along a row, above 0 m.
 * @throws RangeError when the spacing is not above 0.
 * Source: geometry, height of an equilateral triangle.
 * @example
 * triangularRowSpacingM(19.812); // 17.158 (65 ft heads, 56.3 ft rows)
 */
export function triangularRowSpacingM(headSpacingM: number): number {
  requireNumbers('triangularRowSpacingM', { headSpacingM: [headSpacingM, { above: 0 }] });
  return (headSpacingM * Math.sqrt(3)) / 2;
}
