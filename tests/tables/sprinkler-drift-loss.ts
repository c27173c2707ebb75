/**
 * Playán et al. 2005, Agricultural Water Management 76:139-159, solid set: the day line
 * (24.1 + 1.41 U - 0.216 RH) and the night quadratic (3.7 + 1.31 U²) by hand at three points.
 * Independent recomputation of the published equations, two decimals, hence half a last digit.
 */
export const driftLossPoints = [
  { windMPerS: 2, relativeHumidityPct: 50, dayPct: 16.12, nightPct: 8.94 },
  { windMPerS: 3.5, relativeHumidityPct: 60, dayPct: 16.08, nightPct: 19.75 },
  { windMPerS: 5, relativeHumidityPct: 30, dayPct: 24.67, nightPct: 36.45 },
] as const;
