/** Which units a person sees. Inside, everything stays SI. */
export type DisplayUnits = 'us' | 'metric';

/** Formatters that write a number of the project's unit with the person's unit. */
export interface UnitDisplay {
  readonly units: DisplayUnits;
  /** "0.062 in" or "0.75 mm" for what a cycle brings; "1.20 in" or "30.5 mm" for more. */
  depth(depthMm: number): string;
  /** "0.72 in/h" or "18.3 mm/h". */
  rate(rateMmPerH: number): string;
  /** "27.4 gpm" or "104 L/min". */
  flow(flowLPerMin: number): string;
  /** "85 °F" or "29.4 °C". */
  temp(tempC: number): string;
  /** "12 mph" or "5.4 m/s". */
  speed(speedMPerS: number): string;
  /** "5000 ft²" or "465 m²". */
  area(areaM2: number): string;
  /** "65.0 ft" or "19.8 m". */
  length(lengthM: number): string;
  /** "120 gal" or "454 L". */
  volume(volumeL: number): string;
  /** "80 psi" or "552 kPa". */
  pressure(pressureKPa: number): string;
  /** "2 h 05 min", "3 min", "2 min 30 s": the same in both systems. */
  duration(durationS: number): string;
  /** "35 %": the same in both systems. */
  fraction(ratioFraction: number): string;
}

// Exact definitions (NIST SP 811, 2008, Appendix B), except the psi, which is rounded there.
export const MM_PER_INCH = 25.4;
export const L_PER_GALLON = 3.785411784;
const M_PER_FOOT = 0.3048;
const M_PER_S_PER_MPH = 0.44704;
const KPA_PER_PSI = 6.894757293168;

/** The formatters for a person's units. */
export function display(units: DisplayUnits): UnitDisplay {
  return units === 'us' ? usDisplay : metricDisplay;
}

const common = { duration: formatDuration, fraction: (ratio: number) => `${round(ratio * 100)} %` };

const metricDisplay: UnitDisplay = {
  ...common,
  units: 'metric',
  depth: (depthMm) => `${fixed(depthMm, Math.abs(depthMm) < 10 ? 2 : 1)} mm`,
  rate: (rateMmPerH) => `${fixed(rateMmPerH, 1)} mm/h`,
  flow: (flowLPerMin) => `${round(flowLPerMin)} L/min`,
  temp: (tempC) => `${fixed(tempC, 1)} °C`,
  speed: (speedMPerS) => `${fixed(speedMPerS, 1)} m/s`,
  area: (areaM2) => `${round(areaM2)} m²`,
  length: (lengthM) => `${fixed(lengthM, 1)} m`,
  volume: (volumeL) => `${round(volumeL)} L`,
  pressure: (pressureKPa) => `${round(pressureKPa)} kPa`,
};

const usDisplay: UnitDisplay = {
  ...common,
  units: 'us',
  depth: (depthMm) => `${fixed(depthMm / MM_PER_INCH, Math.abs(depthMm) < 25 ? 3 : 2)} in`,
  rate: (rateMmPerH) => `${fixed(rateMmPerH / MM_PER_INCH, 2)} in/h`,
  flow: (flowLPerMin) => `${fixed(flowLPerMin / L_PER_GALLON, 1)} gpm`,
  temp: (tempC) => `${round(tempC * 1.8 + 32)} °F`,
  speed: (speedMPerS) => `${round(speedMPerS / M_PER_S_PER_MPH)} mph`,
  area: (areaM2) => `${round(areaM2 / M_PER_FOOT ** 2)} ft²`,
  length: (lengthM) => `${fixed(lengthM / M_PER_FOOT, 1)} ft`,
  volume: (volumeL) => `${round(volumeL / L_PER_GALLON)} gal`,
  pressure: (pressureKPa) => `${round(pressureKPa / KPA_PER_PSI)} psi`,
};

function formatDuration(durationS: number): string {
  const wholeS = Math.round(Math.abs(durationS));
  const sign = durationS < 0 && wholeS > 0 ? '-' : '';
  const hours = Math.floor(wholeS / 3600);
  const minutes = Math.floor((wholeS % 3600) / 60);
  const seconds = wholeS % 60;
  if (hours > 0) {
    // Above an hour the seconds no longer matter to a person.
    const wholeMinutes = Math.round(wholeS / 60);
    const minutesLeft = wholeMinutes % 60;
    const wholeHours = Math.floor(wholeMinutes / 60);
    return `${sign}${wholeHours} h${minutesLeft ? ` ${String(minutesLeft).padStart(2, '0')} min` : ''}`;
  }
  if (minutes === 0) return `${sign}${seconds} s`;
  return `${sign}${minutes} min${seconds ? ` ${String(seconds).padStart(2, '0')} s` : ''}`;
}

/** So many decimals, never "-0.0". */
function fixed(value: number, decimals: number): string {
  return (Number(value.toFixed(decimals)) + 0).toFixed(decimals);
}

/** Rounded to a whole number, never "-0". */
function round(value: number): string {
  return String(Math.round(value) + 0);
}

/** A unit as a table's column has it: named once in the heading, bare numbers below. */
export interface Measure {
  unit: string;
  decimals: number;
  /** From the project's own unit to the column's. */
  of(value: number): number;
}

/** The measures of a table, by what is measured. */
export interface ColumnMeasures {
  depth: Measure;
  temp: Measure;
  speed: Measure;
  volume: Measure;
  rate: Measure;
  flow: Measure;
}

const METRIC_COLUMNS: ColumnMeasures = {
  depth: { unit: 'mm', decimals: 2, of: (depthMm) => depthMm },
  temp: { unit: '°C', decimals: 1, of: (tempC) => tempC },
  speed: { unit: 'm/s', decimals: 1, of: (speedMPerS) => speedMPerS },
  volume: { unit: 'm³', decimals: 3, of: (volumeL) => volumeL / 1000 },
  rate: { unit: 'mm/h', decimals: 1, of: (rateMmPerH) => rateMmPerH },
  flow: { unit: 'L/min', decimals: 1, of: (flowLPerMin) => flowLPerMin },
};

const US_COLUMNS: ColumnMeasures = {
  depth: { unit: 'in', decimals: 3, of: (depthMm) => depthMm / MM_PER_INCH },
  temp: { unit: '°F', decimals: 1, of: (tempC) => tempC * 1.8 + 32 },
  speed: { unit: 'mph', decimals: 1, of: (speedMPerS) => speedMPerS / M_PER_S_PER_MPH },
  volume: { unit: 'gal', decimals: 0, of: (volumeL) => volumeL / L_PER_GALLON },
  rate: { unit: 'in/h', decimals: 2, of: (rateMmPerH) => rateMmPerH / MM_PER_INCH },
  flow: { unit: 'gpm', decimals: 1, of: (flowLPerMin) => flowLPerMin / L_PER_GALLON },
};

/** The measures of tables for a person's units; volumes in gallons or cubic metres. */
export function columnMeasures(units: DisplayUnits): ColumnMeasures {
  return units === 'us' ? US_COLUMNS : METRIC_COLUMNS;
}
