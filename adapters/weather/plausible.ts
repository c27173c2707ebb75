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
export type Judged = { value: number; problem: null } | { value: null; problem: string };

/** Whether the value can be true for one hour. */
export function judge(field: MeasuredField, value: number): Judged {
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
