import { dewPointC } from '../sky/air.ts';
import type { WeatherHour } from '../sky/weather-hour.ts';
import { type ERROR_FIELDS, type ErrorSize, mapSize } from './forecast-errors.ts';

const DRIEST_KPA = 0.002;
const CALM_M_PER_S = 0.3;
const NIGHT_MJ_PER_M2 = 0.02;

/** How the members of a source's ensemble depart from their mean in one hour, and by how much in all. */
export interface EnsembleHour {
  departures: readonly ErrorSize[];
  spread: ErrorSize;
  /** Rain of each member, mm. */
  rainMm: readonly number[];
}

/**
 * Departures of an ensemble's members from their mean in each hour that all of them tell: air and dew
 * point in kelvins, wind as the log of its ratio, sun as a part of the mean. An hour that a member
 * lacks is left out, and so is an ensemble of one.
 */
export function ensembleDepartures(
  ensemble: readonly (readonly WeatherHour[])[],
): ReadonlyMap<number, EnsembleHour> {
  const [first] = ensemble;
  const members = ensemble.map((hours) => new Map(hours.map((hour) => [hour.startMs, hour])));
  const byHour = new Map<number, EnsembleHour>();
  if (first === undefined || ensemble.length < 2) return byHour;
  for (const { startMs } of first) {
    const told = members.flatMap((hours) => hours.get(startMs) ?? []);
    if (told.length === members.length) byHour.set(startMs, ensembleHour(told));
  }
  return byHour;
}

function ensembleHour(told: readonly WeatherHour[]): EnsembleHour {
  const mean = (values: readonly number[]) =>
    values.reduce((sum, value) => sum + value, 0) / values.length;
  const air = told.map((hour) => hour.airTempC);
  const dew = told.map((hour) => dewPointC(Math.max(DRIEST_KPA, hour.vapourPressureKPa)));
  const wind = told.map((hour) => Math.log(Math.max(CALM_M_PER_S, hour.windMPerS)));
  const sun = told.map((hour) => hour.solarMjPerM2);
  const meanSun = mean(sun);
  const from = (values: readonly number[]) => {
    const centre = mean(values);
    return values.map((value) => value - centre);
  };
  const parts: Record<(typeof ERROR_FIELDS)[number], number[]> = {
    airTempK: from(air),
    dewPointK: from(dew),
    windLog: from(wind),
    sunFraction: sun.map((value) => (meanSun > NIGHT_MJ_PER_M2 ? value / meanSun - 1 : 0)),
  };
  return {
    departures: told.map((_, member) => mapSize((field) => parts[field][member] ?? 0)),
    // Of a sample: one degree of freedom is the mean's.
    spread: mapSize((field) =>
      Math.sqrt(
        parts[field].reduce((sum, value) => sum + value ** 2, 0) / (parts[field].length - 1),
      ),
    ),
    rainMm: told.map((hour) => hour.rainMm),
  };
}
