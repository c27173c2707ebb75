import { requireNumbers } from '../input-range.ts';
import { airPressureKPa, psychrometricKPaPerC, saturationKPa } from '../sky/air.ts';
import type { WeatherHour } from '../sky/weather-hour.ts';

/** The air and the sun above a seedbed. */
interface SurfaceWeather {
  airTempC: number;
  vapourPressureKPa: number;
  /** At 2 m. */
  windMPerS: number;
  solarWPerM2: number;
}

/** How wet the seedbed is. */
interface SurfaceWetness {
  /** Part of a saturated surface's evaporation and albedo: 0 dry, 1 dark and wet. */
  wetnessFraction: number;
  /** Evaporation that the sand can still feed, when known: it caps the latent heat. */
  evaporationMmPerH?: number;
}

/** What a bare surface is like. */
interface BareSurface {
  dryAlbedoFraction: number;
  wetAlbedoFraction: number;
  emissivityFraction: number;
  momentumRoughnessM: number;
  heatRoughnessM: number;
  /** Part of a positive net radiation that goes into the ground. */
  groundDayFraction: number;
  /** Part of a negative net radiation that comes out of the ground. */
  groundNightFraction: number;
}

/** Bare sand: assumed figures within the literature's (from memory), to edit per bed. */
export const BARE_SAND: BareSurface = {
  dryAlbedoFraction: 0.25,
  wetAlbedoFraction: 0.15,
  emissivityFraction: 0.95,
  momentumRoughnessM: 0.005,
  heatRoughnessM: 0.0005,
  groundDayFraction: 0.35,
  groundNightFraction: 0.5,
};

/** What the surface comes to, and where its energy goes. */
interface SurfaceBalance {
  surfaceTempC: number;
  netRadiationWPerM2: number;
  groundHeatWPerM2: number;
  sensibleHeatWPerM2: number;
  latentHeatWPerM2: number;
  /** What the balance misses by; below 0.1 W/m². */
  residualWPerM2: number;
}

const STEFAN_BOLTZMANN = 5.67e-8;
const AIR_HEAT_J_PER_KG_K = 1013;
const DRY_AIR_J_PER_KG_K = 287.05;
/** 1 mm/h of water takes 2.45 MJ/kg (FAO-56). */
const W_PER_M2_OF_MM_PER_H = 2.45e6 / 3600;
/** FAO-56 holds that even still air moves: least wind of its equations. */
const LEAST_WIND_M_PER_S = 0.5;
const HEIGHT_M = 2;

/**
 * Temperature of a bare seedbed's surface, °C, and its energy balance, W/m².
 *
 * Finds the temperature at which net radiation = ground + sensible + latent heat. Assumes a steady
 * hour, a clear sky's longwave, neutral air and wind of at least 0.5 m/s. Neutral air overstates a
 * dry surface in light wind and a clear sky understates a cloudy night: ±5 K at best.
 *
 * @param asked air -40 to 55 °C, vapour 0.001 to 12 kPa, wind 0 to 60 m/s, sun 0 to 1400 W/m²,
 *   wetness 0 to 1, evaporation at least 0 mm/h, pressure 30 to 115 kPa.
 * @throws RangeError when an input is outside its range.
 * Source: resistances as in FAO-56 (Allen et al. 1998), Eq. 3 and 4; clear-sky longwave Brutsaert
 * 1975, 1.24 (ea / T)^(1/7) with ea in hPa.
 * @example
 * // 800 W/m², 30 °C, 40 % humidity (1.697 kPa), 2 m/s: dry 57.1 °C, wet 32.1 °C
 */
export function surfaceTemperature(asked: {
  weather: SurfaceWeather;
  wetness: SurfaceWetness;
  surface?: BareSurface;
  pressureKPa?: number;
}): SurfaceBalance {
  const { weather, wetness, surface = BARE_SAND, pressureKPa = airPressureKPa(0) } = asked;
  requireInputs(weather, wetness);
  const balance = balanceOf(weather, wetness, surface, pressureKPa);
  // Every term but the first falls as the surface warms, so the balance has exactly one root, and
  // for the inputs admitted it lies within this bracket: bisection cannot miss it.
  let low = Math.max(-80, weather.airTempC - 80);
  let high = weather.airTempC + 160;
  for (let step = 0; step < 50; step += 1) {
    const middle = (low + high) / 2;
    if (balance(middle).residualWPerM2 > 0) low = middle;
    else high = middle;
  }
  return balance((low + high) / 2);
}

/**
 * Temperature of a bare seedbed's surface over one hour of weather, °C.
 *
 * @param asked the hour, the wetness, and the elevation of the site, m.
 * @throws RangeError when an input is outside the range of {@link surfaceTemperature}.
 * Source: as {@link surfaceTemperature}.
 */
export function seedbedTemperatureC(asked: {
  hour: WeatherHour;
  wetness: SurfaceWetness;
  elevationM: number;
}): number {
  const { airTempC, vapourPressureKPa, windMPerS, solarMjPerM2 } = asked.hour;
  return surfaceTemperature({
    weather: { airTempC, vapourPressureKPa, windMPerS, solarWPerM2: (solarMjPerM2 * 1e6) / 3600 },
    wetness: asked.wetness,
    pressureKPa: airPressureKPa(asked.elevationM),
  }).surfaceTempC;
}

function balanceOf(
  weather: SurfaceWeather,
  wetness: SurfaceWetness,
  surface: BareSurface,
  pressureKPa: number,
): (surfaceTempC: number) => SurfaceBalance {
  const { airTempC, vapourPressureKPa, solarWPerM2 } = weather;
  const airK = airTempC + 273.15;
  const density = (1000 * pressureKPa) / (DRY_AIR_J_PER_KG_K * airK);
  const ra = aerodynamicResistanceSPerM({
    windMPerS: Math.max(LEAST_WIND_M_PER_S, weather.windMPerS),
    windHeightM: HEIGHT_M,
    airHeightM: HEIGHT_M,
    displacementM: 0,
    momentumRoughnessM: surface.momentumRoughnessM,
    heatRoughnessM: surface.heatRoughnessM,
  });
  const conductance = (density * AIR_HEAT_J_PER_KG_K) / ra;
  const gamma = psychrometricKPaPerC(pressureKPa);
  const albedo =
    surface.dryAlbedoFraction +
    (surface.wetAlbedoFraction - surface.dryAlbedoFraction) * wetness.wetnessFraction;
  const skyEmissivity = 1.24 * ((10 * vapourPressureKPa) / airK) ** (1 / 7);
  const skyWPerM2 = Math.min(1, skyEmissivity) * STEFAN_BOLTZMANN * airK ** 4;
  const latentCap = (wetness.evaporationMmPerH ?? Number.POSITIVE_INFINITY) * W_PER_M2_OF_MM_PER_H;

  return (surfaceTempC) => {
    const emitted = STEFAN_BOLTZMANN * (surfaceTempC + 273.15) ** 4;
    const netRadiationWPerM2 =
      (1 - albedo) * solarWPerM2 + surface.emissivityFraction * (skyWPerM2 - emitted);
    const groundFraction =
      netRadiationWPerM2 > 0 ? surface.groundDayFraction : surface.groundNightFraction;
    const groundHeatWPerM2 = groundFraction * netRadiationWPerM2;
    const sensibleHeatWPerM2 = conductance * (surfaceTempC - airTempC);
    // Above 80 °C no surface is wet enough for its vapour to matter; the curve ends there.
    const vapourKPa = saturationKPa(Math.min(80, surfaceTempC)) - vapourPressureKPa;
    const latentHeatWPerM2 = Math.min(
      latentCap,
      (wetness.wetnessFraction * conductance * vapourKPa) / gamma,
    );
    return {
      surfaceTempC,
      netRadiationWPerM2,
      groundHeatWPerM2,
      sensibleHeatWPerM2,
      latentHeatWPerM2,
      residualWPerM2: netRadiationWPerM2 - groundHeatWPerM2 - sensibleHeatWPerM2 - latentHeatWPerM2,
    };
  };
}

function requireInputs(weather: SurfaceWeather, wetness: SurfaceWetness): void {
  requireNumbers('surfaceTemperature', {
    airTempC: [weather.airTempC, { atLeast: -40, atMost: 55 }],
    vapourPressureKPa: [weather.vapourPressureKPa, { atLeast: 0.001, atMost: 12 }],
    windMPerS: [weather.windMPerS, { atLeast: 0, atMost: 60 }],
    solarWPerM2: [weather.solarWPerM2, { atLeast: 0, atMost: 1400 }],
    wetnessFraction: [wetness.wetnessFraction, { atLeast: 0, atMost: 1 }],
    evaporationMmPerH: [wetness.evaporationMmPerH ?? 0, { atLeast: 0 }],
  });
}

/** A surface seen by the wind above it. */
interface LogLaw {
  windMPerS: number;
  /** Height of the wind, m. */
  windHeightM: number;
  /** Height of the air temperature, m. */
  airHeightM: number;
  /** Height by which the surface lifts the profile, 0 on bare sand, m. */
  displacementM: number;
  /** Roughness length for momentum, m. */
  momentumRoughnessM: number;
  /** Roughness length for heat and vapour, m. */
  heatRoughnessM: number;
}

const VON_KARMAN = 0.41;

/**
 * Aerodynamic resistance between a surface and the air above it, s/m, by the logarithmic law.
 *
 * Assumes neutral air: over hot dry sand in light wind the true resistance is lower.
 *
 * @param law wind above 0 m/s, roughness above 0 m, heights above displacement + roughness.
 * @throws RangeError when an input is outside its range.
 * Source: Allen et al. 1998, FAO-56, Eq. 4 and Box 4.
 * @example
 * // Grass of 0.12 m: d 0.08, zom 0.01476, zoh 0.001476, both heights 2 m: 208 / u2
 */
export function aerodynamicResistanceSPerM(law: LogLaw): number {
  const { windMPerS, windHeightM, airHeightM, displacementM } = law;
  const { momentumRoughnessM, heatRoughnessM } = law;
  requireNumbers('aerodynamicResistanceSPerM', {
    windMPerS: [windMPerS, { above: 0 }],
    displacementM: [displacementM, { atLeast: 0 }],
    momentumRoughnessM: [momentumRoughnessM, { above: 0 }],
    heatRoughnessM: [heatRoughnessM, { above: 0 }],
  });
  requireNumbers('aerodynamicResistanceSPerM', {
    windHeightM: [windHeightM, { above: displacementM + momentumRoughnessM }],
    airHeightM: [airHeightM, { above: displacementM + heatRoughnessM }],
  });
  const forMomentum = Math.log((windHeightM - displacementM) / momentumRoughnessM);
  const forHeat = Math.log((airHeightM - displacementM) / heatRoughnessM);
  return (forMomentum * forHeat) / (VON_KARMAN ** 2 * windMPerS);
}
