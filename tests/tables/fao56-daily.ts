/**
 * FAO-56, Examples 17 (p. 70), 18 (p. 72) and 20 (p. 77): reference ET of a day. `published` is what
 * the text prints; it rounds its intermediates, so ET is held to 0.01 mm. `unrounded` is an
 * independent recomputation of the same equations, held to 0.001.
 */
export interface DailyRow {
  example: string;
  latitudeDeg: number;
  dayOfYear: number;
  elevationM: number;
  highC: number;
  lowC: number;
  vapourPressureKPa: number;
  windMPerS: number;
  /** Hours of sunshine, or null where the text takes radiation from the temperature range. */
  sunshineH: number | null;
  soilHeatMjPerM2: number;
  published: {
    psychrometricKPaPerC: number;
    slopeKPaPerC: number;
    saturationKPa: number;
    solarMjPerM2: number;
    clearSkyMjPerM2: number;
    netShortWaveMjPerM2: number;
    netLongWaveMjPerM2: number;
    netRadiationMjPerM2: number;
    radiationMm: number;
    windMm: number;
    referenceEtMm: number;
  };
  unrounded: {
    solarMjPerM2: number;
    netLongWaveMjPerM2: number;
    netRadiationMjPerM2: number;
    referenceEtMm: number;
  };
}

export const DAILY_ROWS: DailyRow[] = [
  {
    example: 'Example 17, Bangkok',
    latitudeDeg: 13.73,
    dayOfYear: 105,
    elevationM: 2,
    highC: 34.8,
    lowC: 25.6,
    vapourPressureKPa: 2.85,
    windMPerS: 2,
    sunshineH: 8.5,
    soilHeatMjPerM2: 0.14,
    published: {
      psychrometricKPaPerC: 0.0674,
      slopeKPaPerC: 0.246,
      saturationKPa: 4.42,
      solarMjPerM2: 22.65,
      clearSkyMjPerM2: 28.54,
      netShortWaveMjPerM2: 17.44,
      netLongWaveMjPerM2: 3.11,
      netRadiationMjPerM2: 14.33,
      radiationMm: 3.97,
      windMm: 1.75,
      referenceEtMm: 5.72,
    },
    unrounded: {
      solarMjPerM2: 22.6511,
      netLongWaveMjPerM2: 3.10863,
      netRadiationMjPerM2: 14.33269,
      referenceEtMm: 5.7161,
    },
  },
  {
    example: 'Example 18, Uccle',
    latitudeDeg: 50.8,
    dayOfYear: 187,
    elevationM: 100,
    highC: 21.5,
    lowC: 12.3,
    vapourPressureKPa: 1.40862,
    windMPerS: 2.07764,
    sunshineH: 9.25,
    soilHeatMjPerM2: 0,
    published: {
      psychrometricKPaPerC: 0.0666,
      slopeKPaPerC: 0.122,
      saturationKPa: 1.997,
      solarMjPerM2: 22.07,
      clearSkyMjPerM2: 30.9,
      netShortWaveMjPerM2: 17.0,
      netLongWaveMjPerM2: 3.71,
      netRadiationMjPerM2: 13.28,
      radiationMm: 2.81,
      windMm: 1.07,
      referenceEtMm: 3.88,
    },
    unrounded: {
      solarMjPerM2: 22.0721,
      netLongWaveMjPerM2: 3.71229,
      netRadiationMjPerM2: 13.28319,
      referenceEtMm: 3.88026,
    },
  },
  {
    example: 'Example 20, Lyon, temperatures only',
    latitudeDeg: 45.72,
    dayOfYear: 196,
    elevationM: 200,
    highC: 26.6,
    lowC: 14.8,
    // Saturation at the low: e°(14.8 °C), printed as 1.68.
    vapourPressureKPa: 1.68316,
    windMPerS: 2,
    sunshineH: null,
    soilHeatMjPerM2: 0,
    published: {
      psychrometricKPaPerC: 0.0658,
      slopeKPaPerC: 0.15,
      saturationKPa: 2.58,
      solarMjPerM2: 22.29,
      clearSkyMjPerM2: 30.58,
      netShortWaveMjPerM2: 17.16,
      netLongWaveMjPerM2: 3.68,
      netRadiationMjPerM2: 13.48,
      radiationMm: 3.17,
      windMm: 1.39,
      referenceEtMm: 4.56,
    },
    unrounded: {
      solarMjPerM2: 22.2896,
      netLongWaveMjPerM2: 3.67979,
      netRadiationMjPerM2: 13.48323,
      referenceEtMm: 4.5604,
    },
  },
];
