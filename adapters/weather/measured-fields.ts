import { dewPointC } from '../../calc/sky/air.ts';
import { readQuantity } from '../quantity.ts';

/** What a station's column may hold. */
export type StationField =
  | 'air_temp'
  | 'dew_point'
  | 'vapour_pressure'
  | 'relative_humidity'
  | 'wind'
  | 'solar'
  | 'rain';

/**
 * How numbers of a column become the project's. `mean` is a level or a flux, averaged over an
 * hour (air and dew point °C, humidity %, wind m/s, solar W/m², rain mm/h); `sum` is an amount for each row,
 * added up (solar MJ/m², rain mm).
 */
export interface ColumnUnit {
  kind: 'mean' | 'sum';
  convert(written: number): number;
}

// One langley is one calorie on a square centimetre; the factor is the one that reference ET work
// uses (international table calorie). The thermochemical calorie would make it 0.07 % less.
const MJ_PER_M2_IN_LANGLEY = 0.041868;

const SOLAR: Record<string, ColumnUnit> = {
  'w/m2': scaled('mean', 1),
  'kw/m2': scaled('mean', 1000),
  'ly/h': scaled('mean', (MJ_PER_M2_IN_LANGLEY * 1e6) / 3600),
  'ly/min': scaled('mean', (MJ_PER_M2_IN_LANGLEY * 1e6) / 60),
  ly: scaled('sum', MJ_PER_M2_IN_LANGLEY),
  'j/cm2': scaled('sum', 0.01),
  'kj/m2': scaled('sum', 0.001),
};

const SHOWN: Record<StationField, string> = {
  air_temp: '°C, °F',
  dew_point: '°C, °F',
  vapour_pressure: 'kPa, hPa',
  relative_humidity: '%',
  wind: 'm/s, km/h, mph, kn',
  solar: 'W/m², kW/m², MJ/m², kWh/m², Wh/m², kJ/m², J/cm², ly, ly/h, ly/min',
  rain: 'mm, cm, in, mm/h, in/h',
};

/** The unit of a field's column, or null when the spelling is none of `unitsOf(field)`. */
export function columnUnit(field: StationField, spelling: string): ColumnUnit | null {
  switch (field) {
    case 'air_temp':
    case 'dew_point':
      return linear('mean', (amount) => readQuantity(`${amount} ${spelling}`, 'temperature'));
    case 'vapour_pressure':
      return asDewPoint(
        linear('mean', (amount) => readQuantity(`${amount} ${spelling}`, 'pressure')),
      );
    case 'wind':
      return linear('mean', (amount) => readQuantity(`${amount} ${spelling}`, 'speed'));
    case 'relative_humidity':
      return percent(spelling);
    case 'solar':
      return (
        SOLAR[plain(spelling)] ??
        linear('sum', (amount) => readQuantity(`${amount} ${spelling}`, 'solar'))
      );
    case 'rain':
      return (
        linear('sum', (amount) => readQuantity(`${amount} ${spelling}`, 'depth')) ??
        linear('mean', (amount) => readQuantity(`${amount} ${spelling}`, 'rate'))
      );
  }
}

/** The spellings that a field's column may have, for error texts. */
export function unitsOf(field: StationField): string {
  return SHOWN[field];
}

function scaled(kind: ColumnUnit['kind'], factor: number): ColumnUnit {
  return { kind, convert: (written) => written * factor };
}

/** Every unit is a straight line through two readings. */
function linear(
  kind: ColumnUnit['kind'],
  read: (amount: number) => ReturnType<typeof readQuantity>,
): ColumnUnit | null {
  const zero = read(0);
  const hundred = read(100);
  if (!zero.ok || !hundred.ok) return null;
  const slope = (hundred.value - zero.value) / 100;
  return { kind, convert: (written) => zero.value + slope * written };
}

/** Vapour pressure is carried on as a dew point; NaN where there is none. */
function asDewPoint(unit: ColumnUnit | null): ColumnUnit | null {
  if (!unit) return null;
  return {
    kind: 'mean',
    convert: (written) => {
      const kPa = unit.convert(written);
      return kPa >= 0.001 && kPa <= 40 ? dewPointC(kPa) : Number.NaN;
    },
  };
}

function percent(spelling: string): ColumnUnit | null {
  return readQuantity(`1 ${spelling}`, 'fraction').ok ? scaled('mean', 1) : null;
}

function plain(spelling: string): string {
  return spelling
    .toLowerCase()
    .replace(/\s+/g, '')
    .replace(/²|\^2/g, '2')
    .replace(/^langleys?/, 'ly')
    .replace(/\/hr$|\/hour$/, '/h');
}

/** Values that a source gives for an hour or for a row of it. */
export type MeasuredField =
  | 'airTempC'
  | 'dewPointC'
  | 'relativeHumidityPct'
  | 'windMPerS'
  | 'solarMjPerM2'
  | 'rainMm';

/** What an hour can hold on this planet; a little beyond is the sensor's noise and is cut back. */
interface Bounds {
  name: string;
  unit: string;
  min: number;
  max: number;
  noiseBelow: number;
  noiseAbove: number;
}

// Extremes: air 56.7 °C and dew point 35 °C (WMO archive of weather extremes, from memory); rain of
// about 200 mm in a clock hour has been measured in a city (from memory), and more than that is far
// likelier to be a wrong unit. Sun: 1361 W/m² outside the air is 4.9 MJ/m² in an hour. Wind
// above 60 m/s as a mean over an hour is a broken sensor or a wrong unit. Pyranometers read a few
// W/m² below zero at night; humidity sensors a few per cent above 100 in fog.
const BOUNDS: Record<MeasuredField, Bounds> = {
  airTempC: { name: 'air temperature', unit: '°C', min: -60, max: 57, ...noise(0, 0) },
  dewPointC: { name: 'dew point', unit: '°C', min: -70, max: 36, ...noise(0, 0) },
  relativeHumidityPct: { name: 'humidity', unit: '%', min: 1, max: 100, ...noise(0, 5) },
  windMPerS: { name: 'wind', unit: 'm/s', min: 0, max: 60, ...noise(0.2, 0) },
  solarMjPerM2: { name: 'solar', unit: 'MJ/m² in an hour', min: 0, max: 4.9, ...noise(0.07, 0) },
  rainMm: { name: 'rain', unit: 'mm in an hour', min: 0, max: 205, ...noise(0, 0) },
};

/** The value, cut back where noise took it over an edge; or null and what is wrong. */
type BoundedValue = { value: number; problem: null } | { value: null; problem: string };

/** Whether the value can be true for one hour. */
export function checkBounds(field: MeasuredField, value: number): BoundedValue {
  const { name, unit, min, max, noiseBelow, noiseAbove } = BOUNDS[field];
  const outside = !(value >= min - noiseBelow && value <= max + noiseAbove);
  if (outside) {
    return {
      value: null,
      problem: `${name} cannot be (got ${Number(value.toPrecision(4))} ${unit})`,
    };
  }
  return { value: Math.min(max, Math.max(min, value)), problem: null };
}

function noise(noiseBelow: number, noiseAbove: number) {
  return { noiseBelow, noiseAbove };
}
