import { dewPointC, saturationKPa } from '../sky/air.ts';
import { skyOfHours } from '../sky/net-radiation.ts';
import { referenceEtOfHours } from '../sky/reference-et.ts';
import type { EtHour, SitePlace, WeatherHour } from '../sky/weather-hour.ts';
import type { ERROR_FIELDS, ErrorSize } from './forecast-errors.ts';
import { mostSunMjPerM2 } from './sun-futures.ts';

/** Slopes of reference ET in each hour: mm for one unit of each field's error. */
export interface EtSensitivities {
  mm: Record<(typeof ERROR_FIELDS)[number], Float64Array>;
  /** Sun of each hour against the most that it can be; 0 by night. */
  clearnessFraction: readonly number[];
}

const STEP_K = 1;
const STEP_LOG = 0.1;
const STEP_FRACTION = 0.1;
const DRIEST_KPA = 0.002;
const NIGHT_MJ_PER_M2 = 0.01;

/**
 * How reference ET of each hour answers to an error of the forecast: differences over a small step in
 * one field at a time, clouds of the night included.
 */
export function etSensitivities(hours: readonly EtHour[], place: SitePlace): EtSensitivities {
  const sky = skyOfHours(hours, place);
  const etOf = (changed: readonly WeatherHour[]) =>
    referenceEtOfHours(changed, place, sky).referenceEtMm;
  const base = etOf(hours);
  const slope = (step: number, change: (hour: EtHour) => Partial<WeatherHour>) =>
    etOf(hours.map((hour) => ({ ...hour, ...change(hour) }))).map(
      (mm, index) => (mm - (base[index] ?? 0)) / step,
    );
  return {
    mm: {
      airTempK: slope(STEP_K, ({ airTempC }) => ({ airTempC: airTempC + STEP_K })),
      dewPointK: slope(-STEP_K, ({ vapourPressureKPa }) => ({
        vapourPressureKPa: saturationKPa(
          dewPointC(Math.max(DRIEST_KPA, vapourPressureKPa)) - STEP_K,
        ),
      })),
      windLog: slope(STEP_LOG, ({ windMPerS }) => ({ windMPerS: windMPerS * Math.exp(STEP_LOG) })),
      sunFraction: slope(-STEP_FRACTION, ({ solarMjPerM2 }) => ({
        solarMjPerM2: solarMjPerM2 * (1 - STEP_FRACTION),
      })),
    } satisfies Record<keyof ErrorSize, Float64Array>,
    clearnessFraction: hours.map(({ solarMjPerM2 }, index) => {
      const most = mostSunMjPerM2(solarMjPerM2, sky[index]?.clearMjPerM2 ?? 0);
      return most > NIGHT_MJ_PER_M2 ? solarMjPerM2 / most : 0;
    }),
  };
}
