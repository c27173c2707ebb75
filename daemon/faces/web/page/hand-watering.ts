import type { BedView } from '../views/bed-view.ts';

/** What one bed needs by hose while the pump is away. */
export interface HandWatering {
  bedId: string;
  name: string;
  /** When the seedbed reaches its dry limit without water; null: not in sight. */
  dryAtMs: number | null;
  dryLine: string;
  /** Between which times that is nine times in ten; null: nobody can say. */
  dryBand: string | null;
  /** Minutes by hose to fill the seedbed now. */
  fillMin: number;
  /** Minutes by hose that each hour asks for at the day's worst. */
  worstHourMin: number;
  /** Minutes that a full seedbed lasts at the day's worst; null where nothing is lost. */
  lastsMin: number | null;
}

/**
 * Minutes by hose for every bed, first to dry first. A hose spreads its flow over the whole bed:
 * mm times m2 are litres. What the hose loses to wind and overlap is not counted.
 * @param given bed readings as of now; flow of the hose, L/min, above 0; now, epoch ms.
 */
export function handWatering(given: {
  beds: readonly BedView[];
  hoseLPerMin: number;
  nowMs: number;
}): HandWatering[] {
  const { beds, hoseLPerMin, nowMs } = given;
  return beds
    .map((view): HandWatering => {
      const { bed, areaM2, series } = view;
      const ahead = series.lossMm.filter(
        (_, index) => (series.hourStartMs[index] ?? 0) + 3_600_000 > nowMs,
      );
      const worstMm = Math.max(0, ...ahead);
      const minutes = (depthMm: number) => (depthMm * areaM2) / hoseLPerMin;
      return {
        bedId: bed.id,
        name: bed.name,
        dryAtMs: bed.dryAtMs,
        dryLine: bed.dryLine,
        dryBand: bed.dryBand,
        fillMin: minutes(Math.max(0, bed.capacityMm - bed.storeNowMm)),
        worstHourMin: minutes(worstMm),
        lastsMin: worstMm > 0 ? (60 * bed.capacityMm) / worstMm : null,
      };
    })
    .toSorted(
      (a, b) =>
        (a.dryAtMs ?? Number.POSITIVE_INFINITY) - (b.dryAtMs ?? Number.POSITIVE_INFINITY) ||
        b.worstHourMin - a.worstHourMin,
    );
}

/** Hoses that are needed to hold all beds at the day's worst. */
export function hosesNeeded(rows: readonly HandWatering[]): number {
  return Math.ceil(rows.reduce((sum, row) => sum + row.worstHourMin, 0) / 60);
}
