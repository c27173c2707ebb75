import type { WeatherHour } from '../../sky/weather-hour.ts';
import { requireNumbers } from '../../sprinkler/require-number.ts';
import type { Notice } from '../notice.ts';
import { spanOf } from './hours.ts';

/** From when rain counts as heavy, and how much beyond the seedbed's room leaches. */
export const RAIN_LIMITS = { heavyMmPerH: 7.6, leachingMm: 5 } as const;

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
