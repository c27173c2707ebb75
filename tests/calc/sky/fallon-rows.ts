import type { RawHour } from '../../../calc/sky/weather-hour.ts';
import {
  FALLON_ANEMOMETER_M,
  FALLON_DAY,
  FALLON_EVENING_BEFORE,
  fahrenheitInC,
  M_PER_S_IN_A_MPH,
  MJ_PER_M2_IN_A_LANGLEY,
} from '../../tables/asce-fallon.ts';

const HOUR_MS = 3_600_000;

/** Rows of a local date in PST; stamps are the hours' ends. */
function rawHours(rows: typeof FALLON_DAY, dayOfMonthUtcMs: number): RawHour[] {
  return rows.map(([stamp, air, dew, mph, langley]) => ({
    startMs: dayOfMonthUtcMs + (stamp + 8 - 1) * HOUR_MS,
    origin: 'observed',
    airTempC: fahrenheitInC(air),
    dewPointC: fahrenheitInC(dew),
    relativeHumidityPct: null,
    windMPerS: mph * M_PER_S_IN_A_MPH,
    windHeightM: FALLON_ANEMOMETER_M,
    solarMjPerM2: langley * MJ_PER_M2_IN_A_LANGLEY,
    rainMm: 0,
  }));
}

/** The published hours of Fallon, 2015-07-01, and of the evening before, as a source tells them. */
export function fallonRows(): { evening: RawHour[]; day: RawHour[] } {
  return {
    evening: rawHours(FALLON_EVENING_BEFORE, Date.UTC(2015, 5, 30)),
    day: rawHours(FALLON_DAY, Date.UTC(2015, 6, 1)),
  };
}
