import { requireInRange } from '../input-range.ts';
import {
  airPressureKPa,
  psychrometricKPaPerC,
  saturationKPa,
  saturationSlopeKPaPerC,
} from './air.ts';
import {
  cloudinessOfHours,
  netLongWaveHourMjPerM2,
  netShortWaveMjPerM2,
  type SkyHour,
  type Standard,
} from './net-radiation.ts';
import type { EtHour, SitePlace, WeatherHour } from './weather-hour.ts';

/**
 * Reference ET of each hour of a series, mm: the short reference of ASCE-EWRI 2005, and beside it the
 * same without the stomata that the standard presumes closed at night.
 *
 * Needs no time zone: the sun follows from the instant and the longitude. Clouds at night and under
 * a low sun follow from the hours before (see `cloudinessOfHours`), so a series that begins in the
 * evening before gives a better first night. Stretches may be missing between the hours.
 *
 * Inputs: complete hours in order of time, each once, wind at 2 m; the place. Throws RangeError when
 * the hours run backwards or a value is out of its range.
 * Source: ASCE-EWRI 2005, Eq. 1 and 34 to 65.
 * Example: Fallon, Nevada, 2015-07-01 18:00 UTC: 0.61 mm (Ref-ET's own run).
 */
export function referenceEtSeries({
  hours,
  place,
}: {
  hours: WeatherHour[];
  place: SitePlace;
}): EtHour[] {
  hours.forEach((hour, index) => {
    const before = hours[index - 1];
    if (before !== undefined && hour.startMs <= before.startMs) {
      throw new RangeError(
        `referenceEtSeries: hours out of order (got ${hour.startMs} after ${before.startMs}); give each hour once, in order of time`,
      );
    }
  });
  const { referenceEtMm, wetNightEtMm } = referenceEtOfHours(hours, place);
  return hours.map((hour, index) => ({
    ...hour,
    referenceEtMm: referenceEtMm[index] ?? 0,
    wetNightEtMm: wetNightEtMm[index] ?? 0,
  }));
}

/** Reference ET of each hour, and the same of a wet night. */
interface EtOfHours {
  referenceEtMm: Float64Array;
  wetNightEtMm: Float64Array;
}

/**
 * The figures of `referenceEtSeries` alone, for who works out many courses over the same hours.
 * @param sky Of the same hours, where it is at hand.
 */
export function referenceEtOfHours(
  hours: readonly WeatherHour[],
  place: SitePlace,
  sky?: readonly SkyHour[],
): EtOfHours {
  const cloudiness = cloudinessOfHours(hours, place, sky);
  const referenceEtMm = new Float64Array(hours.length);
  const wetNightEtMm = new Float64Array(hours.length);
  hours.forEach((hour, index) => {
    const et = hourlyReferenceEt({
      surface: 'asce_short',
      airTempC: hour.airTempC,
      vapourPressureKPa: hour.vapourPressureKPa,
      windMPerS: hour.windMPerS,
      solarMjPerM2: hour.solarMjPerM2,
      cloudinessFraction: cloudiness[index] ?? 1,
      elevationM: place.elevationM,
    });
    referenceEtMm[index] = et.referenceEtMm;
    wetNightEtMm[index] = et.wetNightEtMm;
  });
  return { referenceEtMm, wetNightEtMm };
}

/**
 * The reference surface and the standard that describes it. `fao56` keeps one surface resistance
 * day and night; the ASCE surfaces close at night.
 */
export type ReferenceSurface = 'asce_short' | 'asce_tall' | 'fao56';

interface SurfaceHour {
  standard: Standard;
  numerator: number;
  dayDenominatorSPerM: number;
  nightDenominatorSPerM: number;
  daySoilHeatFraction: number;
  nightSoilHeatFraction: number;
}

/** ASCE-EWRI 2005, Table 1, and FAO-56, Eq. 45, 46 and 53. */
const SURFACES: Record<ReferenceSurface, SurfaceHour> = {
  asce_short: {
    standard: 'asce2005',
    numerator: 37,
    dayDenominatorSPerM: 0.24,
    nightDenominatorSPerM: 0.96,
    daySoilHeatFraction: 0.1,
    nightSoilHeatFraction: 0.5,
  },
  asce_tall: {
    standard: 'asce2005',
    numerator: 66,
    dayDenominatorSPerM: 0.25,
    nightDenominatorSPerM: 1.7,
    daySoilHeatFraction: 0.04,
    nightSoilHeatFraction: 0.2,
  },
  fao56: {
    standard: 'fao56',
    numerator: 37,
    dayDenominatorSPerM: 0.34,
    nightDenominatorSPerM: 0.34,
    daySoilHeatFraction: 0.1,
    nightSoilHeatFraction: 0.5,
  },
};

/** The weather of an hour as the equation needs it. */
interface HourlyEtInput {
  surface: ReferenceSurface;
  airTempC: number;
  vapourPressureKPa: number;
  /** Wind at 2 m. */
  windMPerS: number;
  solarMjPerM2: number;
  /** From `cloudinessFraction`: of this hour, or of the last hour with enough sun to tell. */
  cloudinessFraction: number;
  elevationM: number;
}

/** Reference ET of an hour with the steps on the way, mm and MJ/m². */
interface HourlyEt extends EvaporationTerms {
  netShortWaveMjPerM2: number;
  netLongWaveMjPerM2: number;
  netRadiationMjPerM2: number;
  soilHeatMjPerM2: number;
  /** With the day's denominator by night too; the soil heat as at night. */
  wetNightEtMm: number;
}

/**
 * Reference ET of one hour, mm, with the steps on the way; negative when dew forms.
 *
 * Night is when net radiation is negative, whatever the sun's height. A vapour pressure above
 * saturation counts as saturation.
 * Inputs: air temperature, -80 to 80 °C; vapour pressure, 0 to 20 kPa; wind at 2 m, 0 to 120 m/s;
 * solar radiation, 0 to 60 MJ/m²; cloudiness, 0.055 to 1; elevation, -500 to 6000 m. Throws
 * RangeError outside.
 * Source: ASCE-EWRI 2005, Eq. 1 and Table 1; FAO-56, Eq. 53.
 * Example: 38 °C, 3.445 kPa, 3.3 m/s, 2.450 MJ/m², 0.894, 8 m, `fao56`: 0.63 mm (FAO-56,
 * Example 19).
 */
export function hourlyReferenceEt(input: HourlyEtInput): HourlyEt {
  const surface = SURFACES[input.surface];
  const netShortWave = netShortWaveMjPerM2(input.solarMjPerM2);
  const netLongWave = netLongWaveHourMjPerM2({
    airTempC: input.airTempC,
    vapourPressureKPa: input.vapourPressureKPa,
    cloudinessFraction: input.cloudinessFraction,
    standard: surface.standard,
  });
  const netRadiation = netShortWave - netLongWave;
  const night = netRadiation < 0;
  const soilHeat =
    netRadiation * (night ? surface.nightSoilHeatFraction : surface.daySoilHeatFraction);
  const Delta = saturationSlopeKPaPerC(input.airTempC);
  const gamma = psychrometricKPaPerC(airPressureKPa(input.elevationM));
  const Cd = night ? surface.nightDenominatorSPerM : surface.dayDenominatorSPerM;
  const { radiationMm, windMm, referenceEtMm } = penmanMonteithMm({
    slopeKPaPerC: Delta,
    psychrometricKPaPerC: gamma,
    netRadiationMjPerM2: netRadiation,
    soilHeatMjPerM2: soilHeat,
    airTempC: input.airTempC,
    windMPerS: input.windMPerS,
    vapourDeficitKPa: Math.max(0, saturationKPa(input.airTempC) - input.vapourPressureKPa),
    numerator: surface.numerator,
    denominatorSPerM: Cd,
  });
  // Cd stands below the line alone, so another one scales the whole.
  const belowFraction =
    (Delta + gamma * (1 + Cd * input.windMPerS)) /
    (Delta + gamma * (1 + surface.dayDenominatorSPerM * input.windMPerS));
  return {
    radiationMm,
    windMm,
    referenceEtMm,
    wetNightEtMm: night ? referenceEtMm * belowFraction : referenceEtMm,
    netShortWaveMjPerM2: netShortWave,
    netLongWaveMjPerM2: netLongWave,
    netRadiationMjPerM2: netRadiation,
    soilHeatMjPerM2: soilHeat,
  };
}

/** One step of the standardized equation, all of its terms worked out. */
interface PenmanMonteithStep {
  slopeKPaPerC: number;
  psychrometricKPaPerC: number;
  netRadiationMjPerM2: number;
  soilHeatMjPerM2: number;
  airTempC: number;
  /** Wind at 2 m. */
  windMPerS: number;
  vapourDeficitKPa: number;
  /** Cn of the standard: of the surface and the length of the step. */
  numerator: number;
  /** Cd of the standard, s/m. */
  denominatorSPerM: number;
}

/** What evaporates in a step, and how much of it sun and wind bring. */
interface EvaporationTerms {
  radiationMm: number;
  windMm: number;
  referenceEtMm: number;
}

function positive(name: string, value: number): number {
  return requireInRange({
    where: 'penmanMonteithMm',
    name,
    value,
    lower: Number.MIN_VALUE,
    upper: 1e4,
  });
}

/**
 * Reference ET of one step, mm, with its radiation and its wind term.
 *
 * For a well-watered, extended, uniform grass (or tall) surface. Negative when dew forms.
 * Inputs: wind at 2 m, 0 to 60 m/s; vapour deficit from 0; slope, constant and coefficients above
 * 0. Throws RangeError outside.
 * Source: ASCE-EWRI 2005, Eq. 1; FAO-56, Eq. 6 and 53 with their own coefficients.
 * Example: 3.97 + 1.75 = 5.72 mm (FAO-56, Example 17).
 */
export function penmanMonteithMm(step: PenmanMonteithStep): EvaporationTerms {
  const where = 'penmanMonteithMm';
  const Delta = positive('slopeKPaPerC', step.slopeKPaPerC);
  const gamma = positive('psychrometricKPaPerC', step.psychrometricKPaPerC);
  const Cn = positive('numerator', step.numerator);
  const Cd = positive('denominatorSPerM', step.denominatorSPerM);
  const Rn = requireInRange({
    where,
    name: 'netRadiationMjPerM2',
    value: step.netRadiationMjPerM2,
    lower: -60,
    upper: 60,
  });
  const G = requireInRange({
    where,
    name: 'soilHeatMjPerM2',
    value: step.soilHeatMjPerM2,
    lower: -60,
    upper: 60,
  });
  const T = requireInRange({
    where,
    name: 'airTempC',
    value: step.airTempC,
    lower: -80,
    upper: 80,
  });
  const u2 = requireInRange({
    where,
    name: 'windMPerS',
    value: step.windMPerS,
    lower: 0,
    upper: 120,
  });
  const deficit = requireInRange({
    where,
    name: 'vapourDeficitKPa',
    value: step.vapourDeficitKPa,
    lower: 0,
    upper: 60,
  });

  const below = Delta + gamma * (1 + Cd * u2);
  const radiationMm = (0.408 * Delta * (Rn - G)) / below;
  const windMm = (((gamma * Cn) / (T + 273)) * u2 * deficit) / below;
  return { radiationMm, windMm, referenceEtMm: radiationMm + windMm };
}
