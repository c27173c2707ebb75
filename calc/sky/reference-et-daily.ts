import {
  airPressureKPa,
  daySaturationKPa,
  psychrometricKPaPerC,
  saturationSlopeKPaPerC,
} from './air.ts';
import {
  cloudinessFraction,
  netLongWaveDayMjPerM2,
  netShortWaveMjPerM2,
  type Standard,
} from './net-radiation.ts';
import { type EvaporationTerms, penmanMonteithMm } from './penman-monteith.ts';
import type { ReferenceSurface } from './reference-et-hourly.ts';

interface SurfaceDay {
  standard: Standard;
  numerator: number;
  denominatorSPerM: number;
}

/** ASCE-EWRI 2005, Table 1, and FAO-56, Eq. 6. */
const SURFACES: Record<ReferenceSurface, SurfaceDay> = {
  asce_short: { standard: 'asce2005', numerator: 900, denominatorSPerM: 0.34 },
  asce_tall: { standard: 'asce2005', numerator: 1600, denominatorSPerM: 0.38 },
  fao56: { standard: 'fao56', numerator: 900, denominatorSPerM: 0.34 },
};

/** The weather of a day as the equation needs it. */
export interface DailyEtInput {
  surface: ReferenceSurface;
  highC: number;
  lowC: number;
  vapourPressureKPa: number;
  /** Mean wind at 2 m. */
  windMPerS: number;
  solarMjPerM2: number;
  /** Solar radiation of the same day under a clear sky, above 0. */
  clearSkyMjPerM2: number;
  elevationM: number;
  /** 0 over a day; the month's change at the monthly step. */
  soilHeatMjPerM2?: number;
}

/** Reference ET of a day with the steps on the way, mm, kPa and MJ/m². */
export interface DailyEt extends EvaporationTerms {
  saturationKPa: number;
  slopeKPaPerC: number;
  psychrometricKPaPerC: number;
  cloudinessFraction: number;
  netShortWaveMjPerM2: number;
  netLongWaveMjPerM2: number;
  netRadiationMjPerM2: number;
}

/**
 * Reference ET of one day, mm, with the steps on the way.
 *
 * Inputs: high and low, -80 to 80 °C, the high not below the low; vapour pressure, 0 to 20 kPa;
 * wind at 2 m, 0 to 120 m/s; solar radiation, 0 to 60 MJ/m²; clear-sky radiation above 0;
 * elevation, -500 to 6000 m. Throws RangeError outside.
 * Source: FAO-56, Eq. 6; ASCE-EWRI 2005, Eq. 1 and Table 1.
 * Example: Uccle, 6 July: 3.88 mm (FAO-56, Example 18).
 */
export function dailyReferenceEt(input: DailyEtInput): DailyEt {
  const surface = SURFACES[input.surface];
  const meanC = (input.highC + input.lowC) / 2;
  const saturation = daySaturationKPa(input);
  const slope = saturationSlopeKPaPerC(meanC);
  const gamma = psychrometricKPaPerC(airPressureKPa(input.elevationM));
  const fcd = cloudinessFraction(input.solarMjPerM2 / input.clearSkyMjPerM2);
  const netShortWave = netShortWaveMjPerM2(input.solarMjPerM2);
  const netLongWave = netLongWaveDayMjPerM2({
    highC: input.highC,
    lowC: input.lowC,
    vapourPressureKPa: input.vapourPressureKPa,
    cloudinessFraction: fcd,
    standard: surface.standard,
  });
  const netRadiation = netShortWave - netLongWave;
  const terms = penmanMonteithMm({
    slopeKPaPerC: slope,
    psychrometricKPaPerC: gamma,
    netRadiationMjPerM2: netRadiation,
    soilHeatMjPerM2: input.soilHeatMjPerM2 ?? 0,
    airTempC: meanC,
    windMPerS: input.windMPerS,
    vapourDeficitKPa: Math.max(0, saturation - input.vapourPressureKPa),
    numerator: surface.numerator,
    denominatorSPerM: surface.denominatorSPerM,
  });
  return {
    ...terms,
    saturationKPa: saturation,
    slopeKPaPerC: slope,
    psychrometricKPaPerC: gamma,
    cloudinessFraction: fcd,
    netShortWaveMjPerM2: netShortWave,
    netLongWaveMjPerM2: netLongWave,
    netRadiationMjPerM2: netRadiation,
  };
}

/**
 * Reference ET of a day from temperatures and the radiation above the atmosphere alone, mm: a
 * cross-check and a last resort, less certain than the full equation on missing data.
 *
 * Inputs: high and low, °C; radiation above the atmosphere, MJ/m². Throws RangeError when the high
 * is below the low or a value is not finite.
 * Source: Hargreaves and Samani 1985; FAO-56, Eq. 52.
 * Example: 26.6 and 14.8 °C, 40.55 MJ/m²: 5.0 mm (FAO-56, Example 20).
 */
export function hargreavesEtMm({
  highC,
  lowC,
  extraterrestrialMjPerM2,
}: {
  highC: number;
  lowC: number;
  extraterrestrialMjPerM2: number;
}): number {
  const rangeC = highC - lowC;
  if (!(rangeC >= 0 && rangeC <= 100)) {
    throw new RangeError(
      `hargreavesEtMm: high below low, or not a number (got ${highC} and ${lowC}); give both in °C, the high first`,
    );
  }
  if (!(extraterrestrialMjPerM2 >= 0 && extraterrestrialMjPerM2 <= 60)) {
    throw new RangeError(
      `hargreavesEtMm: radiation is out of range (got ${extraterrestrialMjPerM2}); give 0 to 60 MJ/m²`,
    );
  }
  const meanC = (highC + lowC) / 2;
  // In MJ/m² the factor carries 0.408 mm per MJ; below -17.8 °C the fitted line would turn negative.
  return Math.max(0, 0.0023 * (meanC + 17.8) * Math.sqrt(rangeC) * 0.408 * extraterrestrialMjPerM2);
}
