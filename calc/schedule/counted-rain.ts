import type { EtHour } from '../sky/weather-hour.ts';
import type { BedPlan } from './day-plan.ts';

const HOUR_MS = 3_600_000;
const LEAST_ET_MM = 1e-6;

/**
 * The part of the rain to come that a bed's seedbed can hold, mm: each shower counts up to the room
 * at its beginning and what the bed loses meanwhile.
 *
 * @param bed Its expected store, with the cycles planned.
 * @param hours In order of time; hours that the expected store does not cover count for nothing.
 */
export function countedRainMm(
  bed: Pick<BedPlan, 'capacityMm' | 'expectedStore' | 'lossMm'>,
  hours: readonly EtHour[],
): number {
  const { startMs, stepMin, storeMm } = bed.expectedStore;
  const endMs = startMs + (storeMm.length - 1) * stepMin * 60_000;
  const covered = hours.filter((hour) => hour.startMs + HOUR_MS > startMs && hour.startMs < endMs);
  const etMm = covered.reduce((sum, hour) => sum + Math.max(0, hour.referenceEtMm), 0);
  // A day of dew has no loss to speak of; dividing by next to nothing would make it boundless.
  const lossPerEt = etMm > LEAST_ET_MM ? Math.max(0, bed.lossMm) / etMm : 0;
  let countedMm = 0;
  let roomMm = 0;
  let wet = false;
  for (const hour of covered) {
    if (hour.rainMm > 0) {
      if (!wet) roomMm = roomBeforeMm(bed, hour.startMs);
      roomMm += Math.max(0, hour.referenceEtMm) * lossPerEt;
      const heldMm = Math.min(hour.rainMm, Math.max(0, roomMm));
      countedMm += heldMm;
      roomMm -= heldMm;
    }
    wet = hour.rainMm > 0;
  }
  return countedMm;
}

/** Room that a bed's seedbed is expected to have at an instant, at least 0 mm. */
export function roomBeforeMm(
  bed: Pick<BedPlan, 'capacityMm' | 'expectedStore'>,
  instantMs: number,
): number {
  const { startMs, stepMin, storeMm } = bed.expectedStore;
  const step = Math.floor((instantMs - startMs) / (stepMin * 60_000));
  const storeThenMm = storeMm[Math.min(Math.max(step, 0), storeMm.length - 1)] ?? 0;
  return Math.max(0, bed.capacityMm - storeThenMm);
}
