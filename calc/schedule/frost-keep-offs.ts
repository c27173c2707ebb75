import { spellsOf } from '../growth/hazards/hours.ts';
import type { WeatherHour } from '../sky/weather-hour.ts';
import type { KeepOff } from './site.ts';

const HOUR_MS = 3_600_000;

/** Air temperature at and below which no water goes on, unless a site says another (common practice: 2 to 3). */
export const NO_WATER_BELOW_C = 2;

/**
 * Hours of frost as keep-offs of every bed: no cycle may start or run while the air is at or below
 * the limit.
 *
 * The whole spell counts and not only its falling half: turf that has frozen is not watered before
 * it has thawed.
 *
 * @param asked hours in order of time; beds; limit, °C.
 * Source: common practice, no irrigation at or below 2 to 3 °C and falling.
 */
export function frostKeepOffs(asked: {
  hours: readonly WeatherHour[];
  bedIds: readonly string[];
  limitC: number;
}): KeepOff[] {
  const { hours, bedIds, limitC } = asked;
  return spellsOf(hours, (hour) => hour.airTempC <= limitC).flatMap((spell) => {
    const startMs = spell[0]?.startMs ?? 0;
    const endMs = (spell.at(-1)?.startMs ?? startMs) + HOUR_MS;
    return bedIds.map((bedId) => ({ bedId, startMs, endMs, why: '', kind: 'frost' }));
  });
}
