/** Published catch-can sets with the low-quarter uniformity that their source prints. */
export const catchCanSets = [
  {
    source: 'North Carolina State University, sprinkler evaluation package, worked example',
    catches: [47, 42, 45, 24, 13, 26, 33, 34, 27, 30, 40, 44, 32, 12, 12],
    // Printed to two decimals. 15 / 4 = 3.75 is rounded up to 4 cans: 3 cans would give 40.13.
    duLowQuarterPct: 49.62,
    tolerancePct: 0.005,
    // Independent recomputation, not published.
    cuPct: 69.14,
  },
  {
    source: 'worked example of a web calculator for distribution uniformity (second hand)',
    catches: [
      12.0, 11.5, 10.8, 9.2, 12.3, 11.9, 10.1, 8.7, 12.1, 11.7, 10.5, 9.0, 12.2, 11.6, 10.3, 8.5,
    ],
    // Printed 82.13; the definition gives 82.135, so its last digit was cut, not rounded.
    duLowQuarterPct: 82.13,
    tolerancePct: 0.01,
    cuPct: null,
  },
] as const;
