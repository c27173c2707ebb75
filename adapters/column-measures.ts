import { type DisplayUnits, L_PER_GALLON, M_PER_S_PER_MPH, MM_PER_INCH } from './display-units.ts';

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

const METRIC: ColumnMeasures = {
  depth: { unit: 'mm', decimals: 2, of: (depthMm) => depthMm },
  temp: { unit: '°C', decimals: 1, of: (tempC) => tempC },
  speed: { unit: 'm/s', decimals: 1, of: (speedMPerS) => speedMPerS },
  volume: { unit: 'm³', decimals: 3, of: (volumeL) => volumeL / 1000 },
  rate: { unit: 'mm/h', decimals: 1, of: (rateMmPerH) => rateMmPerH },
  flow: { unit: 'L/min', decimals: 1, of: (flowLPerMin) => flowLPerMin },
};

const US: ColumnMeasures = {
  depth: { unit: 'in', decimals: 3, of: (depthMm) => depthMm / MM_PER_INCH },
  temp: { unit: '°F', decimals: 1, of: (tempC) => tempC * 1.8 + 32 },
  speed: { unit: 'mph', decimals: 1, of: (speedMPerS) => speedMPerS / M_PER_S_PER_MPH },
  volume: { unit: 'gal', decimals: 0, of: (volumeL) => volumeL / L_PER_GALLON },
  rate: { unit: 'in/h', decimals: 2, of: (rateMmPerH) => rateMmPerH / MM_PER_INCH },
  flow: { unit: 'gpm', decimals: 1, of: (flowLPerMin) => flowLPerMin / L_PER_GALLON },
};

/** The measures of tables for a person's units; volumes in gallons or cubic metres. */
export function columnMeasures(units: DisplayUnits): ColumnMeasures {
  return units === 'us' ? US : METRIC;
}

/** What the short names of the units stand for. */
export function unitsLine({ depth, volume }: ColumnMeasures): string {
  return depth.unit === 'in'
    ? `Depths in inches (${depth.unit}), volumes in US gallons (${volume.unit}).`
    : `Depths in millimetres (${depth.unit}), volumes in cubic metres (${volume.unit}).`;
}
