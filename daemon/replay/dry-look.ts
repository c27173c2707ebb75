import { STAGES } from '../../calc/growth/stages.ts';
import type { SeedbedStore, StoreState } from '../../calc/sand/seedbed-store.ts';
import { dryBalance, firstAtPart } from '../../calc/schedule/bed-balance.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { bedDemand, stepGrid } from '../../calc/schedule/demand.ts';
import { lossCoefficient } from '../../calc/schedule/loss-coefficient.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { EtHour } from '../../calc/sky/weather-hour.ts';

/**
 * The newest plan with the times at which the beds dry as they look now: all that the rule of
 * revisions asks of a proposal, for a small part of the work of planning one.
 */
export function dryLook(
  newest: DayPlan,
  now: {
    site: Site;
    stores: ReadonlyMap<string, SeedbedStore>;
    statesNow: ReadonlyMap<string, StoreState>;
    /** From `nowMs` on, without a gap. */
    hours: readonly EtHour[];
    nowMs: number;
  },
): DayPlan {
  const { site, stores, statesNow, hours, nowMs } = now;
  const last = hours.at(-1)?.startMs ?? nowMs;
  const grid = stepGrid(nowMs, last + 3_600_000);
  const beds = newest.beds.map((planned) => {
    const bed = site.beds.find((one) => one.id === planned.bedId);
    const store = stores.get(planned.bedId);
    const stateNow = statesNow.get(planned.bedId);
    if (bed === undefined || store === undefined || stateNow === undefined) return planned;
    const demand = bedDemand(bed, hours, lossCoefficient(STAGES[bed.stage], hours), grid);
    const stations = site.stations.filter((station) => station.bedId === bed.id);
    const balance = dryBalance({ store, grid, demand, stateNow, stations });
    return {
      ...planned,
      dryAtMs: firstAtPart(balance, 0, nowMs),
      storeNowMm: balance.leftMm[0] ?? 0,
    };
  });
  return { ...newest, madeAtMs: nowMs, startMs: nowMs, beds };
}
