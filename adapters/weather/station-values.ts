import type { RawHour } from '../../calc/sky/weather-hour.ts';
import {
  type CsvConfig,
  columnIndex,
  placeOf,
  type TableHead,
  type TableRow,
} from './csv-table.ts';
import { type HourBin, meanOf, sumOf } from './hour-grid.ts';
import {
  type ColumnUnit,
  checkBounds,
  columnUnit,
  type MeasuredField,
  type StationField,
} from './measured-fields.ts';
import type { WeatherProblem } from './source.ts';

/** How a file's texts become numbers. */
export interface NumberFormat {
  decimal_mark: '.' | ',';
  missing: readonly string[];
}

/** A column as the reader uses it. */
export interface ReadableColumn {
  /** As the config names it. */
  column: string;
  index: number;
  unit: ColumnUnit;
}

/** A cell as a number in the project's unit; null with a problem, or null where it is missing. */
type CellReading = { value: number | null; problem: WeatherProblem | null };

/** A number as machines write it. */
export const NUMBER = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?$/i;

/** The columns of the config, found in the table. */
export function findColumns(
  table: TableHead,
  columns: CsvConfig['columns'],
): Map<StationField, ReadableColumn> {
  const found = new Map<StationField, ReadableColumn>();
  for (const [name, stated] of Object.entries(columns)) {
    const field = name as StationField;
    const unit = stated === undefined ? null : columnUnit(field, stated.unit);
    if (!stated || !unit) continue;
    found.set(field, { column: stated.column, index: columnIndex(table, stated.column), unit });
  }
  return found;
}

/** A reader of single cells. */
export function cellReader(head: TableHead, format: NumberFormat) {
  const missingTexts = new Set(['', ...format.missing.map((text) => text.trim().toLowerCase())]);
  const missingNumbers = new Set(
    format.missing.filter((text) => NUMBER.test(text.trim())).map(Number),
  );
  return (row: TableRow, { column, index, unit }: ReadableColumn): CellReading => {
    const text = row.cells[index] ?? '';
    if (missingTexts.has(text.toLowerCase())) return { value: null, problem: null };
    const where = placeOf(head, row.line);
    const plain = format.decimal_mark === ',' ? text.replace(',', '.') : text;
    if (!NUMBER.test(plain)) {
      const what = `${column} is no number (got ${text.slice(0, 30)})`;
      return { value: null, problem: { where, what, done: 'value left out' } };
    }
    const written = Number(plain);
    const value = missingNumbers.has(written) ? null : unit.convert(written);
    return { value, problem: null };
  };
}

/** W/m² over one hour, as MJ/m². */
const MJ_PER_M2_IN_W_HOUR = 0.0036;
/** Under broken cloud the sun can pass its hourly ceiling for some minutes. */
const SHORT_SOLAR_CEILING_MJ_PER_M2 = 6.5;

/** The fields of an hour as one column at a time fills them. */
type HourValues = Omit<RawHour, 'startMs' | 'origin' | 'windHeightM'>;

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
export function checkRowBounds(
  field: StationField,
  value: number,
  { unit, rowsPerHour }: { unit: ReadableColumn['unit']; rowsPerHour: number },
): { value: number | null; problem: string | null } {
  if (field !== 'solar') return checkBounds(FIELD[field], value);
  const scale = unit.kind === 'sum' ? rowsPerHour : MJ_PER_M2_IN_W_HOUR;
  const hourly = value * scale;
  if (rowsPerHour > 1 && hourly > 0 && hourly <= SHORT_SOLAR_CEILING_MJ_PER_M2) {
    return { value, problem: null };
  }
  const judged = checkBounds('solarMjPerM2', hourly);
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
    const judged = checkBounds(FIELD[field], value);
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
