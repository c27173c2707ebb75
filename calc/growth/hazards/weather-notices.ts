import { requireNumbers } from '../../input-range.ts';
import type { WeatherHour } from '../../sky/weather-hour.ts';
import { type Notice, spanOf, spellsOf } from '../notice.ts';

/** Temperatures at which heat tells on seedlings. */
interface HeatLimits {
  /** Seedbed at which roots are held back. */
  rootsHeldBackC: number;
  /** Surface at which seedlings begin to suffer at the crown. */
  crownSuffersC: number;
  /** Surface at which the crown is scalded. */
  crownScaldsC: number;
}

const HEAT_LIMITS: HeatLimits = {
  rootsHeldBackC: 32,
  crownSuffersC: 40,
  crownScaldsC: 45,
};

/**
 * Heat over the hours given, or null.
 *
 * Uses the surface temperature of the seedbed where it was worked out, hour for hour, and the air
 * temperature otherwise: bare dry sand can stand far above the air, so the air alone understates.
 *
 * @param asked hours of weather; surface temperatures in the same order, when known; limits in
 *   rising order, °C.
 * @throws RangeError when the surface temperatures do not match the hours, or limits do not rise.
 * Source: roots held back at 32 °C (extension sources); crown above 40 to 45 °C (from memory).
 */
export function heatNotice(asked: {
  hours: readonly WeatherHour[];
  surfaceTempsC?: readonly number[];
  limits?: HeatLimits;
}): Notice | null {
  const { hours, surfaceTempsC, limits = HEAT_LIMITS } = asked;
  const { rootsHeldBackC, crownSuffersC, crownScaldsC } = limits;
  requireNumbers('heatNotice', {
    rootsHeldBackC: [rootsHeldBackC, {}],
    crownSuffersC: [crownSuffersC, { atLeast: rootsHeldBackC }],
    crownScaldsC: [crownScaldsC, { atLeast: crownSuffersC }],
  });
  if (surfaceTempsC !== undefined && surfaceTempsC.length !== hours.length) {
    throw new RangeError(
      `heatNotice.surfaceTempsC: not one for each hour (got ${surfaceTempsC.length} for ${hours.length}); give as many`,
    );
  }
  const hot = hours.flatMap((hour, index) => {
    const tempC = surfaceTempsC?.[index] ?? hour.airTempC;
    return tempC >= rootsHeldBackC ? [{ hour, tempC }] : [];
  });
  if (hot.length === 0) return null;
  const peakC = Math.max(...hot.map((one) => one.tempC));
  const limitC = [crownScaldsC, crownSuffersC, rootsHeldBackC].find((one) => peakC >= one);
  const severity = peakC >= crownScaldsC ? 'danger' : peakC >= crownSuffersC ? 'warn' : 'note';
  return {
    code: 'heat',
    severity,
    inputs: {
      peakC,
      limitC: limitC ?? rootsHeldBackC,
      hotHours: hot.length,
      measure: surfaceTempsC === undefined ? 'air' : 'seedbed_surface',
    },
    limits: { rootsHeldBackC, crownSuffersC, crownScaldsC },
    ...spanOf(hot.map((one) => one.hour)),
  };
}

/**
 * First spell in which water could freeze on the turf, or null.
 *
 * A spell begins when the air falls to the limit and ends when it has risen above it. The surface of
 * a clear calm night is colder than the air at its shelter, hence a limit above freezing. The first
 * hour given has no hour before it and counts as falling.
 *
 * @param asked hours of weather in order of time; limit -5 to 10 °C, the same at which cycles keep
 *   off, so that what a plan tells and what it does agree.
 * @throws RangeError when the limit is outside its range.
 * Source: common practice, no irrigation at or below 2 to 3 °C and falling.
 */
export function frostNotice(asked: {
  hours: readonly WeatherHour[];
  limitC: number;
}): Notice | null {
  const { hours, limitC } = asked;
  requireNumbers('frostNotice', { limitC: [limitC, { atLeast: -5, atMost: 10 }] });
  const [spell] = spellsOf(hours, (hour) => hour.airTempC <= limitC);
  if (spell === undefined) return null;
  const lowC = Math.min(...spell.map((hour) => hour.airTempC));
  const freezes = lowC <= 0;
  return {
    code: 'frost',
    severity: freezes ? 'danger' : 'warn',
    inputs: { lowC, limitC, coldHours: spell.length },
    limits: {},
    ...spanOf(spell),
  };
}

/** Wind at 2 m from which a sprinkler's pattern is hurt, and sharply so. */
export const WIND_LIMITS = { hurtMPerS: 4, sharplyHurtMPerS: 6 } as const;

/**
 * Wind that hurts the sprinklers' pattern over the hours given, or null. It asks and skips nothing:
 * in a grow-in a poor pattern may still beat a dry seedbed.
 *
 * @param asked hours of weather with wind at 2 m; limits above 0 m/s in rising order.
 * @throws RangeError when the limits do not rise.
 * Source: irrigation research (abstracts): badly hurt above 4 m/s, sharply above 6 m/s.
 */
export function windNotice(asked: {
  hours: readonly WeatherHour[];
  limits?: { hurtMPerS: number; sharplyHurtMPerS: number };
}): Notice | null {
  const { hours, limits = WIND_LIMITS } = asked;
  const { hurtMPerS, sharplyHurtMPerS } = limits;
  requireNumbers('windNotice', {
    hurtMPerS: [hurtMPerS, { above: 0 }],
    sharplyHurtMPerS: [sharplyHurtMPerS, { atLeast: hurtMPerS }],
  });
  const windy = hours.filter((hour) => hour.windMPerS > hurtMPerS);
  if (windy.length === 0) return null;
  const strongestMPerS = Math.max(...windy.map((hour) => hour.windMPerS));
  const sharp = strongestMPerS > sharplyHurtMPerS;
  return {
    code: 'wind',
    severity: sharp ? 'warn' : 'note',
    inputs: { strongestMPerS, hurtMPerS, sharplyHurtMPerS, windyHours: windy.length },
    limits: {},
    ...spanOf(windy),
  };
}

/** From when rain counts as heavy, and how much beyond the seedbed's room leaches. */
const RAIN_LIMITS = { heavyMmPerH: 7.6, leachingMm: 5 } as const;

/**
 * Rain against a seedbed that has little room for it, or null: heavy rain moves seed, and rain beyond
 * the room carries feed below the roots. How much of it may count as watering is the room alone.
 *
 * @param asked hours of weather; room that the seedbed has left, at least 0 mm; limits above 0.
 * @throws RangeError when an input is outside its range.
 * Source: heavy rain above 7.6 mm in an hour (American Meteorological Society glossary, from
 * memory); the leaching limit is an assumption to edit.
 */
export function heavyRainNotice(asked: {
  hours: readonly WeatherHour[];
  roomMm: number;
  limits?: { heavyMmPerH: number; leachingMm: number };
}): Notice | null {
  const { hours, roomMm, limits = RAIN_LIMITS } = asked;
  const { heavyMmPerH, leachingMm } = limits;
  requireNumbers('heavyRainNotice', {
    roomMm: [roomMm, { atLeast: 0 }],
    heavyMmPerH: [heavyMmPerH, { above: 0 }],
    leachingMm: [leachingMm, { above: 0 }],
  });
  const wet = hours.filter((hour) => hour.rainMm > 0);
  const rainMm = wet.reduce((sum, hour) => sum + hour.rainMm, 0);
  const heaviestMmPerH = Math.max(0, ...wet.map((hour) => hour.rainMm));
  const beyondRoomMm = Math.max(0, rainMm - roomMm);
  const heavy = heaviestMmPerH > heavyMmPerH && beyondRoomMm > 0;
  if (!heavy && beyondRoomMm < leachingMm) return null;
  return {
    code: 'heavy_rain',
    severity: heavy ? 'warn' : 'note',
    inputs: { rainMm, heaviestMmPerH, roomMm, beyondRoomMm },
    limits: { heavyMmPerH, leachingMm },
    ...spanOf(wet),
  };
}
