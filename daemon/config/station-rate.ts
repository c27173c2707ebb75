import type { RateBasis } from '../../calc/schedule/site.ts';
import { catchCanResult } from '../../calc/sprinkler/catch-cans.ts';
import { rateFromNozzle, triangularRowSpacingM } from '../../calc/sprinkler/precipitation-rate.ts';
import { runTimeMultiplierFraction } from '../../calc/sprinkler/run-time-multiplier.ts';
import type { RateConfig } from './station-schema.ts';

/** A station's precipitation rate and how it came to be known. */
export interface StationRate {
  rateMmPerH: number;
  basis: RateBasis;
  /** Above 1 when the person wants the drier half to get its depth. */
  runTimeMultiplierFraction: number;
}

const CM2_PER_M2 = 10_000;

/** A can of 100 cm² holds 10 mL for each mm: depths go through the same test as volumes. */
const CAN_CM2 = 100;
const ML_PER_MM_IN_CAN = CAN_CM2 / 10;

/**
 * The rate that a config's `rate` gives.
 * @throws RangeError when a catch-can test caught nothing.
 */
export function stationRate(rate: RateConfig): StationRate {
  if (rate.nozzle) {
    const { flow, head_spacing, row_spacing, arc } = rate.nozzle;
    const rateMmPerH = rateFromNozzle({
      flowLPerMin: flow,
      headSpacingM: head_spacing,
      rowSpacingM: row_spacing ?? triangularRowSpacingM(head_spacing),
      arcDeg: arc,
    });
    return { rateMmPerH, basis: 'nozzle', runTimeMultiplierFraction: 1 };
  }
  if (rate.catch_cans) {
    const { volumes, collector_area, depths, lasted, for_driest } = rate.catch_cans;
    const test = volumes
      ? {
          volumesMl: volumes.map((volumeL) => volumeL * 1000),
          collectorAreaCm2: (collector_area ?? 0) * CM2_PER_M2,
        }
      : {
          volumesMl: (depths ?? []).map((depthMm) => depthMm * ML_PER_MM_IN_CAN),
          collectorAreaCm2: CAN_CM2,
        };
    const result = catchCanResult({ ...test, runMin: lasted });
    return {
      rateMmPerH: result.precipitationRateMmPerH,
      basis: 'catch_cans',
      runTimeMultiplierFraction: for_driest ? runTimeMultiplierFraction(result.duLowQuarterPct) : 1,
    };
  }
  return { rateMmPerH: rate.stated ?? 0, basis: 'stated', runTimeMultiplierFraction: 1 };
}
