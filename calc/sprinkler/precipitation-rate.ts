import { requireNumbers } from '../input-range.ts';

/** One head in a regular layout. */
interface HeadLayout {
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

/** What was collected over one run of the heads, all cans of one size. */
interface CatchCanTest {
  /** Water in each can, mL, at least 0. */
  volumesMl: readonly number[];
  /** Opening of one can, cm². */
  collectorAreaCm2: number;
  /** How long the heads ran, minutes. */
  runMin: number;
  /** Mean wind at 2 m during the test, m/s, when it was measured. */
  windMPerS?: number;
}

/** Why a test should be read with care. */
export type CatchCanCaution =
  | { code: 'few_cans'; cans: number; leastCans: number }
  | { code: 'cans_not_in_fours'; cans: number; quarterCans: number }
  | { code: 'windy'; windMPerS: number; limitMPerS: number };

/** What a catch-can test says about the heads. */
interface CatchCanResult {
  /** Depth in each can, mm, in the order given. */
  depthsMm: number[];
  meanDepthMm: number;
  /** Rate that reached the ground: what was lost in flight is already off. */
  precipitationRateMmPerH: number;
  /** Distribution uniformity of the low quarter, percent. */
  duLowQuarterPct: number;
  /** Christiansen's coefficient of uniformity, percent; below 0 for a very uneven catch. */
  cuPct: number;
  cautions: CatchCanCaution[];
}

/** Fewest cans of a test that the Irrigation Association's guideline takes. */
const LEAST_CANS = 24;
/** Strongest wind of a test that the guideline takes. */
const CATCH_WIND_LIMIT_M_PER_S = 2.2;

/**
 * Rate and uniformity from a catch-can test: depths in mm, rate in mm/h, DU and CU in percent.
 *
 * Assumes equal cans that each stand for the same area, read before they evaporate. The rate is a
 * net one for the weather of the test, since what blew away was not caught.
 *
 * @param test volumes at least 0 mL with at least one above 0, area above 0 cm², time above 0 min.
 * @throws RangeError when no can is given, every can is empty, or an input is outside its range.
 * Source: unit conversion (1 mL on 1 cm² is 10 mm); Irrigation Association catch-can guideline for
 * the cautions; Christiansen 1942 for CU.
 * @example
 * // 25 mL in 100 cm² cans after 10 minutes: 2.5 mm, 15 mm/h
 * catchCanResult({ volumesMl: [25, 25], collectorAreaCm2: 100, runMin: 10 });
 */
export function catchCanResult(test: CatchCanTest): CatchCanResult {
  const { volumesMl, collectorAreaCm2, runMin, windMPerS } = test;
  requireNumbers('catchCanResult', {
    collectorAreaCm2: [collectorAreaCm2, { above: 0 }],
    runMin: [runMin, { above: 0 }],
    windMPerS: [windMPerS ?? 0, { atLeast: 0 }],
  });
  const depthsMm = volumesMl.map((volumeMl) => (10 * volumeMl) / collectorAreaCm2);
  const duLowQuarterPct = lowQuarterUniformityPct(volumesMl);
  const meanDepthMm = mean(depthsMm);
  return {
    depthsMm,
    meanDepthMm,
    precipitationRateMmPerH: (60 * meanDepthMm) / runMin,
    duLowQuarterPct,
    cuPct: christiansenUniformityPct(volumesMl),
    cautions: cautionsOf(volumesMl.length, windMPerS ?? null),
  };
}

/**
 * Distribution uniformity of the low quarter, percent: mean of the lowest quarter of the catches
 * over the mean of all.
 *
 * The lowest quarter of n cans is n / 4 rounded up, the rule that the source's 15-can example uses.
 *
 * @param catches any one unit, at least 0, at least one above 0.
 * @throws RangeError when none is given, all are 0, or one is below 0.
 * Source: North Carolina State University, sprinkler evaluation package, worked example.
 * @example
 * lowQuarterUniformityPct([47, 42, 45, 24, 13, 26, 33, 34, 27, 30, 40, 44, 32, 12, 12]); // 49.62
 */
export function lowQuarterUniformityPct(catches: readonly number[]): number {
  requireCatches('lowQuarterUniformityPct', catches);
  const ascending = [...catches].sort((a, b) => a - b);
  const lowest = ascending.slice(0, Math.ceil(catches.length / 4));
  return (100 * mean(lowest)) / mean(catches);
}

/**
 * Christiansen's coefficient of uniformity, percent: 100 less the mean deviation as a percentage of
 * the mean.
 *
 * @param catches any one unit, at least 0, at least one above 0.
 * @throws RangeError when none is given, all are 0, or one is below 0.
 * Source: Christiansen 1942; form as in California State University Fresno, Irrigation Notes 941102.
 * @example
 * christiansenUniformityPct([1, 1, 1, 1]); // 100
 */
export function christiansenUniformityPct(catches: readonly number[]): number {
  requireCatches('christiansenUniformityPct', catches);
  const average = mean(catches);
  const deviation = catches.reduce((sum, value) => sum + Math.abs(value - average), 0);
  return 100 * (1 - deviation / (catches.length * average));
}

function requireCatches(where: string, catches: readonly number[]): void {
  catches.forEach((value, index) => {
    requireNumbers(where, { [`catches[${index}]`]: [value, { atLeast: 0 }] });
  });
  if (!catches.some((value) => value > 0)) {
    throw new RangeError(
      `${where}.catches: no can caught anything (got ${catches.length} cans); run the test again`,
    );
  }
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

function cautionsOf(cans: number, windMPerS: number | null): CatchCanCaution[] {
  const cautions: CatchCanCaution[] = [];
  if (cans < LEAST_CANS) cautions.push({ code: 'few_cans', cans, leastCans: LEAST_CANS });
  if (cans % 4 !== 0) {
    cautions.push({ code: 'cans_not_in_fours', cans, quarterCans: Math.ceil(cans / 4) });
  }
  if (windMPerS !== null && windMPerS > CATCH_WIND_LIMIT_M_PER_S) {
    cautions.push({ code: 'windy', windMPerS, limitMPerS: CATCH_WIND_LIMIT_M_PER_S });
  }
  return cautions;
}

/**
 * Factor by which a run is lengthened so that the drier half of the area gets its depth, at least 1.
 *
 * On request only: a longer run puts the surplus on the wetter half, which on a seedbed means
 * puddles and leaching, so hand watering of the dry quarter is the default. Dividing by the low
 * quarter itself would ask for far more.
 *
 * @param duLowQuarterPct distribution uniformity of the low quarter, above 0 and at most 100 %.
 * @throws RangeError when the uniformity is outside its range.
 * Source: Irrigation Association scheduling form, 1 / (0.4 + 0.6 DU) (from memory).
 * @example
 * runTimeMultiplierFraction(70); // 1.22
 */
export function runTimeMultiplierFraction(duLowQuarterPct: number): number {
  requireNumbers('runTimeMultiplierFraction', {
    duLowQuarterPct: [duLowQuarterPct, { above: 0, atMost: 100 }],
  });
  return 1 / (0.4 + 0.6 * (duLowQuarterPct / 100));
}
