import type { DisplayUnits } from '../../../adapters/display-units.ts';
import type { SiteClock } from '../../../adapters/site-clock.ts';
import { sharesOf } from '../../../calc/schedule/plan-weather.ts';
import { saturationKPa } from '../../../calc/sky/air.ts';
import type { EtHour } from '../../../calc/sky/weather-hour.ts';
import { headingsOf, sayAtCommandLine as say } from '../../words/command-line.ts';
import { readerOf } from '../../words/plan-words.ts';
import { table } from '../../words/text-columns.ts';
import { sayFill, shareLines } from '../../words/weather-words.ts';

/** The hours as a table in the person's units, with a line for each thing that was filled. */
export function weatherTable(input: {
  hours: readonly EtHour[];
  clock: SiteClock;
  units: DisplayUnits;
  source: string;
  nowMs: number;
}): string {
  const { hours, clock, units, source, nowMs } = input;
  const reader = readerOf({ clock, units });
  const { show } = reader;
  const rows = hours.map((hour) => [
    clock.siteDayOf(hour.startMs),
    clock.timeOf(hour.startMs),
    show.temp(hour.airTempC),
    `${humidityPct(hour)} %`,
    show.speed(hour.windMPerS),
    hour.solarMjPerM2.toFixed(2),
    show.depth(hour.rainMm),
    fineDepth(hour.referenceEtMm, units),
    hour.origin,
    hour.filled.map((one) => one.field).join(' '),
  ]);
  const totalMm = hours.reduce((sum, hour) => sum + hour.referenceEtMm, 0);
  const how = new Set(
    hours.flatMap((hour) =>
      hour.filled.map((one) =>
        say('weather.filled', { field: one.field, how: sayFill(one.how, reader) }),
      ),
    ),
  );
  return [
    say('weather.source', { source }),
    ...shareLines(sharesOf(hours), { nowMs, reader }),
    table(headingsOf('weather.heading'), rows),
    say('weather.total', { depth: fineDepth(totalMm, units), hours: hours.length }),
    ...how,
  ].join('\n');
}

/** The hours as CSV in SI units, instants with the site's offset. */
export function weatherCsv(hours: readonly EtHour[], clock: SiteClock): string {
  const lines = hours.map((hour) =>
    [
      clock.isoOf(hour.startMs),
      hour.origin,
      hour.airTempC.toFixed(2),
      hour.vapourPressureKPa.toFixed(3),
      hour.windMPerS.toFixed(2),
      hour.solarMjPerM2.toFixed(3),
      hour.rainMm.toFixed(2),
      hour.referenceEtMm.toFixed(4),
      hour.filled.map((one) => one.field).join(' '),
    ].join(','),
  );
  return [
    'hour_start,origin,air_temp_c,vapour_pressure_kpa,wind_m_per_s,solar_mj_per_m2,rain_mm,reference_et_mm,filled',
    ...lines,
  ].join('\n');
}

function humidityPct(hour: EtHour): number {
  return Math.round(Math.min(100, (100 * hour.vapourPressureKPa) / saturationKPa(hour.airTempC)));
}

/** An hour's ET is a few tenths of a millimetre: one decimal would hide it. */
function fineDepth(mm: number, units: DisplayUnits): string {
  return units === 'us' ? `${(mm / 25.4).toFixed(3)} in` : `${mm.toFixed(2)} mm`;
}
