import { readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { filledWeather } from '../../../calc/sky/missing-weather.ts';
import { outlookHours } from '../../../calc/sky/outlook-hours.ts';
import { referenceEtSeries } from '../../../calc/sky/reference-et.ts';
import type { EtHour, SitePlace } from '../../../calc/sky/weather-hour.ts';
import { FALLON } from '../../tables/asce-fallon.ts';
import { fallonRows } from '../sky/fallon-rows.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;

const PACKAGED = fileURLToPath(
  new URL('../../../node_modules/vega-datasets/data/weather.csv', import.meta.url),
);

export const SEATTLE: SitePlace = { latitudeDeg: 47.45, longitudeDeg: -122.31, elevationM: 130 };
export const NEW_YORK: SitePlace = { latitudeDeg: 40.78, longitudeDeg: -73.97, elevationM: 40 };

/**
 * Days of Seattle or New York by mean solar time, as if measured: NOAA's highs, lows, wind and rain, as
 * carried by the package `vega-datasets`; the hours are shaped by the daily outlook.
 */
export function packagedDays(
  name: 'Seattle' | 'New York',
  { fromMs, days }: { fromMs: number; days: number },
): { place: SitePlace; hours: EtHour[] } {
  const place = name === 'Seattle' ? SEATTLE : NEW_YORK;
  const rows = new Map(
    readFileSync(PACKAGED, 'utf8')
      .split(/\r?\n/)
      .map((row) => row.split(','))
      .filter(([location]) => location === name)
      .map(([, date, ...figures]) => [date, figures.map(Number)] as const),
  );
  const raw = Array.from({ length: days }, (_, index) => {
    const dayMs = fromMs + index * DAY_MS;
    const figures = rows.get(new Date(dayMs).toISOString().slice(0, 10));
    const [rainMm = 0, highC = 0, lowC = 0, windMPerS = 0] = figures ?? [];
    if (figures === undefined) throw new Error(`no row of ${name} at ${dayMs}`);
    const dayStartMs = dayMs + Math.round(-place.longitudeDeg / 15) * HOUR_MS;
    return outlookHours({
      place,
      origin: 'observed',
      windHeightM: 10,
      dayStartMs,
      dayEndMs: dayStartMs + DAY_MS,
      lowC,
      highC,
      windMPerS,
      rainMm,
    });
  }).flat();
  return {
    place,
    hours: referenceEtSeries({ hours: filledWeather({ hours: raw, place }).hours, place }),
  };
}

/** The published day of Fallon and the evening before it. */
export function fallonDay(): { place: SitePlace; hours: EtHour[] } {
  const { evening, day } = fallonRows();
  const { hours } = filledWeather({ hours: [...evening, ...day], place: FALLON });
  return { place: FALLON, hours: referenceEtSeries({ hours, place: FALLON }) };
}

/** The same hours as a source foretells them from an instant on. */
export function foretoldFrom(
  hours: readonly EtHour[],
  asOfMs: number,
  origin: EtHour['origin'] = 'forecast',
): EtHour[] {
  return hours.map((hour) => (hour.startMs + HOUR_MS > asOfMs ? { ...hour, origin } : hour));
}

/** Reference ET from one instant to another, mm. */
export function etBetween(
  hours: readonly EtHour[],
  { fromMs, toMs }: { fromMs: number; toMs: number },
): number {
  return hours.reduce(
    (sum, { startMs, referenceEtMm }) =>
      startMs >= fromMs && startMs < toMs ? sum + referenceEtMm : sum,
    0,
  );
}
