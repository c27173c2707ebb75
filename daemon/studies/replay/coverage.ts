import { entryOf } from '../../../calc/checked-entry.ts';
import { STAGES } from '../../../calc/growth/stages.ts';
import type { SeedbedStore } from '../../../calc/sand/seedbed-store.ts';
import { type BedBalance, dryBalance, stateOfStep } from '../../../calc/schedule/bed-balance.ts';
import type { DryBand } from '../../../calc/schedule/bed-moisture.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { bedDemand, lossCoefficient, STEP_MS, stepGrid } from '../../../calc/schedule/demand.ts';
import type { Site } from '../../../calc/schedule/site.ts';
import type { EtHour } from '../../../calc/sky/weather-hour.ts';

/** The real drying of a bed against the band that its morning told; the three shares add up to 1. */
export interface ToldDrying {
  bedId: string;
  insideFraction: number;
  beforeFraction: number;
  afterFraction: number;
}

/**
 * The bands that a morning told, each against the first dry instants without water in the weather as it
 * came. Which of its sands a bed has nobody knows in a replay either: each counts as the truth by the
 * weight that the plan gives it. Beds without a band are left out, and those that no band can miss: open
 * at both ends, and not dry.
 *
 * @param input.hours From the morning on, without a gap, as far as the morning's plan looked.
 */
export function toldDryings(input: {
  site: Site;
  stores: ReadonlyMap<string, SeedbedStore>;
  morning: DayPlan;
  hours: readonly EtHour[];
  toMs: number;
}): ToldDrying[] {
  const { site, stores, morning, hours, toMs } = input;
  const grid = stepGrid(morning.startMs, toMs);
  return morning.beds.flatMap(({ bedId, dryBandMs: band, state }): ToldDrying[] => {
    const bed = site.beds.find((one) => one.id === bedId);
    const store = stores.get(bedId);
    if (bed === undefined || store === undefined || band === undefined) return [];
    const coefficient = lossCoefficient(STAGES[bed.stage], hours, bed.seenCoverFraction);
    const balance = dryBalance({
      store,
      grid,
      demand: bedDemand(bed, hours, coefficient, grid),
      stateNow: state,
      stations: site.stations.filter((station) => station.bedId === bedId),
    });
    const dryings = firstDryOfEach(balance);
    const isOpen = band.earliestMs === null && band.latestMs === null;
    if (isOpen && dryings.every(({ dryMs }) => dryMs === Number.POSITIVE_INFINITY)) return [];
    const share = (where: ReturnType<typeof fellWhere>) =>
      dryings
        .filter(({ dryMs }) => fellWhere(dryMs, band) === where)
        .reduce((sum, { weightFraction }) => sum + weightFraction, 0);
    return [
      {
        bedId,
        insideFraction: share('inside'),
        beforeFraction: share('before'),
        afterFraction: share('after'),
      },
    ];
  });
}

/** When the bed gets dry on each of its sands, infinite where it does not, with the sand's weight. */
function firstDryOfEach(balance: BedBalance): { dryMs: number; weightFraction: number }[] {
  const { grid, futures, follower } = balance;
  const total = futures.reduce((sum, one) => sum + one.weightFraction, 0);
  // Infinite while it is not dry.
  const dryMs = futures.map(() => Number.POSITIVE_INFINITY);
  let before: Float64Array | null = null;
  for (let step = 0; step <= grid.steps; step++) {
    // What the follower gives is good until it is asked again.
    const margins = follower.marginsMm(stateOfStep(balance, step), step).slice();
    for (const [k, mm] of margins.entries()) {
      if (mm > 0 || entryOf(dryMs, k) < Number.POSITIVE_INFINITY) continue;
      const was = before?.[k] ?? 0;
      const part = was > mm ? was / (was - mm) : 0;
      dryMs[k] = grid.startMs + Math.max(0, step - 1 + part) * STEP_MS;
    }
    before = margins;
  }
  return futures.map(({ weightFraction }, k) => {
    return { dryMs: entryOf(dryMs, k), weightFraction: weightFraction / total };
  });
}

/** A minute: the steps between which both times are found are longer. */
const SAME_MS = 60_000;

/** A time beyond the plan's reach lies inside a band that is open there. */
function fellWhere(
  dryMs: number,
  { earliestMs, latestMs }: DryBand,
): 'inside' | 'before' | 'after' {
  if (dryMs < (earliestMs ?? Number.POSITIVE_INFINITY) - SAME_MS) return 'before';
  return dryMs > (latestMs ?? Number.POSITIVE_INFINITY) + SAME_MS ? 'after' : 'inside';
}

/** How many of the drying times fell inside the bands that were told. */
export interface Coverage {
  bands: number;
  /** Means over the bands; 0 where none was told. */
  insideFraction: number;
  beforeFraction: number;
  afterFraction: number;
}

export function coverageOf(dryings: readonly ToldDrying[]): Coverage {
  const mean = (pick: (one: ToldDrying) => number) =>
    dryings.reduce((sum, one) => sum + pick(one), 0) / Math.max(1, dryings.length);
  return {
    bands: dryings.length,
    insideFraction: mean((one) => one.insideFraction),
    beforeFraction: mean((one) => one.beforeFraction),
    afterFraction: mean((one) => one.afterFraction),
  };
}
