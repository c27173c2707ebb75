import type { DisplayUnits } from '../../../adapters/display-units.ts';

const MM_PER_INCH = 25.4;

/** Depths as numbers of the person's unit, for an axis. */
export interface DepthScale {
  unit: string;
  of(depthMm: number): number;
  /** A value of an axis, with as many decimals as its steps need. */
  tick(value: number, step: number): string;
}

export function depthScale(units: DisplayUnits): DepthScale {
  const perMm = units === 'us' ? 1 / MM_PER_INCH : 1;
  return {
    unit: units === 'us' ? 'in' : 'mm',
    of: (depthMm) => depthMm * perMm,
    tick(value, step) {
      const decimals = Math.max(0, Math.ceil(-Math.log10(Math.max(step, 1e-6)) - 1e-9));
      return (Number(value.toFixed(decimals)) + 0).toFixed(decimals);
    },
  };
}
