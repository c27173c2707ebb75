import { type DisplayUnits, L_PER_GALLON, MM_PER_INCH } from '../../adapters/display-units.ts';

/** How a number is told and asked for; the value itself is SI, a percentage of 100, a share of 1. */
export type NumberUnit =
  | 'temperature_difference'
  | 'depth'
  | 'minutes'
  | 'hours'
  | 'percent'
  | 'share'
  | 'factor'
  | 'count'
  | 'volume';

/** A number as a person sees it: the value times `perUnit`, so many decimals, and its unit. */
export interface ShownUnit {
  perUnit: number;
  unit: string;
  decimals: number;
  /** A round step in this unit, as a difference of the value; null: that of the field is round. */
  step: number | null;
}

const K_PER_F = 1 / 1.8;

const METRIC: Readonly<Record<NumberUnit, ShownUnit>> = {
  temperature_difference: { perUnit: 1, unit: '°C', decimals: 1, step: null },
  depth: { perUnit: 1, unit: 'mm', decimals: 2, step: null },
  minutes: { perUnit: 1 / 60, unit: 'min', decimals: 1, step: null },
  hours: { perUnit: 1 / 3600, unit: 'h', decimals: 1, step: null },
  percent: { perUnit: 1, unit: '%', decimals: 0, step: null },
  share: { perUnit: 100, unit: '%', decimals: 0, step: null },
  factor: { perUnit: 1, unit: '', decimals: 2, step: null },
  count: { perUnit: 1, unit: '', decimals: 0, step: null },
  volume: { perUnit: 1, unit: 'L', decimals: 0, step: null },
};

const US: Readonly<Record<NumberUnit, ShownUnit>> = {
  ...METRIC,
  temperature_difference: { perUnit: 1.8, unit: '°F', decimals: 1, step: 2 * K_PER_F },
  depth: { perUnit: 1 / MM_PER_INCH, unit: 'in', decimals: 3, step: 0.01 * MM_PER_INCH },
  volume: { perUnit: 1 / L_PER_GALLON, unit: 'gal', decimals: 0, step: 100 * L_PER_GALLON },
};

/** How a person with these units sees numbers of a unit. */
export function shownUnit(unit: NumberUnit, units: DisplayUnits): ShownUnit {
  return (units === 'us' ? US : METRIC)[unit];
}

/** "7.2 °F", "110 %", "1.5": no more decimals than it has. */
export function sayNumber(value: number, shown: ShownUnit): string {
  return `${bareNumber(value, shown)}${shown.unit === '' ? '' : ` ${shown.unit}`}`;
}

/** The same without its unit. */
export function bareNumber(value: number, { perUnit, decimals }: ShownUnit): string {
  return String(Number((value * perUnit).toFixed(decimals)) + 0);
}
