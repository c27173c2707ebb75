import type { RawHour } from '../../calc/sky/weather-hour.ts';
import type { StationField } from './column-units.ts';
import { type HourBin, meanOf, sumOf } from './hour-bins.ts';
import { judge, type MeasuredField } from './plausible.ts';
import type { ReadableColumn } from './station-rows.ts';

/** W/m² over one hour, as MJ/m². */
const MJ_PER_M2_IN_W_HOUR = 0.0036;
/** Under broken cloud the sun can pass its hourly ceiling for some minutes. */
const SHORT_SOLAR_CEILING_MJ_PER_M2 = 6.5;

/** The fields of an hour as one column at a time fills them. */
export type HourValues = Omit<RawHour, 'startMs' | 'origin' | 'windHeightM'>;

const FIELD: Record<StationField, MeasuredField> = {
  air_temp: 'airTempC',
  dew_point: 'dewPointC',
  vapour_pressure: 'dewPointC',
  relative_humidity: 'relativeHumidityPct',
  wind: 'windMPerS',
  solar: 'solarMjPerM2',
  rain: 'rainMm',
};

/**
 * Whether one row's value can be true: the value, or null and why not. `value` is in the column's
 * unit as converted (see `ColumnUnit`).
 */
export function judgeRow(
  field: StationField,
  value: number,
  { unit, rowsPerHour }: { unit: ReadableColumn['unit']; rowsPerHour: number },
): { value: number | null; problem: string | null } {
  if (field !== 'solar') return judge(FIELD[field], value);
  const scale = unit.kind === 'sum' ? rowsPerHour : MJ_PER_M2_IN_W_HOUR;
  const hourly = value * scale;
  if (rowsPerHour > 1 && hourly > 0 && hourly <= SHORT_SOLAR_CEILING_MJ_PER_M2) {
    return { value, problem: null };
  }
  const judged = judge('solarMjPerM2', hourly);
  return judged.value === null ? judged : { value: judged.value / scale, problem: null };
}

/** One hour from its rows: levels and fluxes as means, amounts as sums. */
export function hourOfBin(
  bin: HourBin,
  columns: ReadonlyMap<StationField, Pick<ReadableColumn, 'unit'>>,
  rowsPerHour: (field: StationField) => number,
): { values: HourValues; problems: string[] } {
  const problems: string[] = [];
  const of = (field: StationField): number | null => {
    const column = columns.get(field);
    const value = column ? hourly(bin, field, column, rowsPerHour(field)) : null;
    if (value === null) return null;
    const judged = judge(FIELD[field], value);
    if (judged.problem !== null) problems.push(judged.problem);
    return judged.value;
  };
  const airTempC = of('air_temp');
  let humidDewC = of('dew_point') ?? of('vapour_pressure');
  if (humidDewC !== null && airTempC !== null && humidDewC > airTempC + 1) {
    const got = `${humidDewC.toFixed(1)} °C at ${airTempC.toFixed(1)} °C`;
    problems.push(`the dew point is above the air temperature (got ${got})`);
    humidDewC = null;
  }
  const values: HourValues = {
    airTempC,
    dewPointC: humidDewC,
    relativeHumidityPct: of('relative_humidity'),
    windMPerS: of('wind'),
    solarMjPerM2: of('solar'),
    rainMm: of('rain'),
  };
  return { values, problems };
}

function hourly(
  bin: HourBin,
  field: StationField,
  { unit }: Pick<ReadableColumn, 'unit'>,
  rowsPerHour: number,
): number | null {
  // Rain that fell is counted even where half of the rows are lost; of the sun's sum a part would
  // only mislead, so it is the mean of the rows there are, times the rows there should be.
  if (field === 'rain' && unit.kind === 'sum') return sumOf(bin, 'rain');
  const mean = meanOf(bin, field, rowsPerHour);
  if (mean === null || field !== 'solar') return mean;
  return mean * (unit.kind === 'sum' ? rowsPerHour : MJ_PER_M2_IN_W_HOUR);
}
