/** Published sunrise, noon and sunset as seconds after the first instant of the local day. */
export interface SunTimesRow {
  source: string;
  latitudeDeg: number;
  longitudeDeg: number;
  dayStartMs: number;
  sunriseS: number | null;
  noonS: number | null;
  sunsetS: number | null;
}

const clock = (h: number, min: number, s: number): number => h * 3600 + min * 60 + s;
const NOAA = "NOAA's solar calculation sheet, quoted in an open test suite";
const SPA = "NREL's SPA, quoted in the tests of pvlib-python";

export const SUN_TIMES_ROWS: SunTimesRow[] = [
  {
    source: NOAA,
    latitudeDeg: 40,
    longitudeDeg: -105,
    dayStartMs: Date.UTC(2010, 5, 21, 6),
    sunriseS: clock(5, 31, 15.9),
    noonS: clock(13, 1, 42.4),
    sunsetS: clock(20, 32, 8.9),
  },
  {
    source: NOAA,
    latitudeDeg: 37.421944,
    longitudeDeg: -122.079583,
    dayStartMs: Date.UTC(2023, 8, 21, 8),
    sunriseS: 0.2466931557 * 86_400,
    noonS: 0.5010301094 * 86_400,
    sunsetS: 0.7553670632 * 86_400,
  },
  {
    source: SPA,
    latitudeDeg: 39.742476,
    longitudeDeg: -105.1786,
    dayStartMs: Date.UTC(2015, 0, 2, 7),
    sunriseS: clock(7, 21, 55),
    noonS: clock(12, 4, 45),
    sunsetS: clock(16, 47, 43),
  },
  {
    source: SPA,
    latitudeDeg: 39.742476,
    longitudeDeg: -105.1786,
    dayStartMs: Date.UTC(2015, 7, 2, 7),
    sunriseS: clock(5, 0, 27),
    noonS: clock(12, 6, 58),
    // The sunset that the source lists with this day is the one within its UTC date: next row.
    sunsetS: null,
  },
  {
    source: `${SPA}; sunset listed under 2 August, whose UTC date holds the evening of 1 August`,
    latitudeDeg: 39.742476,
    longitudeDeg: -105.1786,
    dayStartMs: Date.UTC(2015, 7, 1, 7),
    sunriseS: null,
    noonS: null,
    sunsetS: clock(19, 13, 58),
  },
  {
    source: SPA,
    latitudeDeg: -35,
    longitudeDeg: 0,
    dayStartMs: Date.UTC(1996, 6, 5),
    sunriseS: clock(7, 8, 15),
    noonS: clock(12, 4, 36),
    sunsetS: clock(17, 1, 4),
  },
  {
    source: SPA,
    latitudeDeg: -35,
    longitudeDeg: 0,
    dayStartMs: Date.UTC(2004, 11, 4),
    sunriseS: clock(4, 38, 57),
    noonS: clock(11, 50, 22),
    sunsetS: clock(19, 2, 3),
  },
];

/** NOAA's sheet at the instant of its row: degrees and minutes as printed. */
export const SUN_POSITION_ROWS = [
  {
    atMs: Date.UTC(2010, 5, 21, 6, 6),
    latitudeDeg: 40,
    declinationDeg: 23.4383,
    equationOfTimeMin: -1.70631,
    sunriseAngleDeg: 112.610346,
  },
  {
    atMs: Date.UTC(2023, 8, 21, 13, 33),
    latitudeDeg: 37.421944,
    declinationDeg: 0.669364,
    equationOfTimeMin: 6.834976,
    sunriseAngleDeg: 91.561303,
  },
];
