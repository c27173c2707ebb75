const L_PER_GALLON = 3.785411784;
const M_PER_FT = 0.3048;
const MM_PER_IN = 25.4;

/** Rates that the trade prints, in its own units; the tolerance is half the last printed digit. */
export const precipitationRates = [
  {
    source: 'trade article: 65 ft triangular, 27.4 gpm at 80 psi',
    flowGpm: 27.4,
    headSpacingFt: 65,
    rowSpacingFt: 65 * 0.866,
    rateInPerH: 0.72,
    toleranceInPerH: 0.005,
  },
  {
    source: 'trade article: the same heads at 60 psi, 22.8 gpm',
    flowGpm: 22.8,
    headSpacingFt: 65,
    rowSpacingFt: 65 * 0.866,
    rateInPerH: 0.6,
    toleranceInPerH: 0.005,
  },
  {
    source: 'trade article: a wrong nozzle, 35.2 gpm',
    flowGpm: 35.2,
    headSpacingFt: 65,
    rowSpacingFt: 65 * 0.866,
    rateInPerH: 0.93,
    toleranceInPerH: 0.005,
  },
  {
    source: 'teaching slides: 8 gpm on 60 x 15 ft',
    flowGpm: 8,
    headSpacingFt: 60,
    rowSpacingFt: 15,
    rateInPerH: 0.86,
    toleranceInPerH: 0.005,
  },
  {
    // The slide divides 0.770 by 0.866 again and prints 0.89: the row spacing holds it already.
    source: 'New Mexico State University, SOIL 456: 96.3 q / A for 6 gpm, heads 30 ft, rows 25 ft',
    flowGpm: 6,
    headSpacingFt: 30,
    rowSpacingFt: 25,
    rateInPerH: 0.77,
    toleranceInPerH: 0.0005,
  },
] as const;

export function inSi(row: (typeof precipitationRates)[number]) {
  return {
    layout: {
      flowLPerMin: row.flowGpm * L_PER_GALLON,
      headSpacingM: row.headSpacingFt * M_PER_FT,
      rowSpacingM: row.rowSpacingFt * M_PER_FT,
    },
    rateMmPerH: row.rateInPerH * MM_PER_IN,
    toleranceMmPerH: row.toleranceInPerH * MM_PER_IN,
  };
}
