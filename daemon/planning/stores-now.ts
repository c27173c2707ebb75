import { STAGES } from '../../calc/growth/stages.ts';
import type { SeedbedStore, StoreState } from '../../calc/sand/seedbed-store.ts';
import { bedStores, type ModelsOf } from '../../calc/schedule/bed-stores.ts';
import { carriedState, fits } from '../../calc/schedule/carried-state.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { Site } from '../../calc/schedule/site.ts';
import type { EtHour } from '../../calc/sky/weather-hour.ts';
import { assimilateLooks } from './assimilate-looks.ts';
import type { SeenState } from './seen-states.ts';
import { siteInStages } from './site-in-stages.ts';

/**
 * State of each bed's store now, from an earlier plan with the weather and the runs since. A bed
 * that was moved to another stage meanwhile is followed in its old one, and its store then handed
 * over; a bed whose sand was changed starts anew.
 *
 * @param input.site With the beds in their stages of now; `stores` are theirs.
 */
export function storesNow(input: {
  site: Site;
  stores: ReadonlyMap<string, SeedbedStore>;
  modelsOf: ModelsOf;
  before: DayPlan;
  toMs: number;
  hours: readonly EtHour[];
  runs: readonly Run[];
  /** What was seen meanwhile, in order: each sets its bed's store right at its moment. */
  seen: readonly SeenState[];
}): Map<string, StoreState> {
  const { site, stores, modelsOf, before, toMs, hours, runs, seen } = input;
  const stageBefore = new Map(before.beds.map((bed) => [bed.bedId, bed.stage]));
  const siteBefore = siteInStages(site, stageBefore);
  const moved = siteBefore.beds.some((bed, index) => bed.stage !== site.beds[index]?.stage);
  const storesBefore = moved ? bedStores(siteBefore.beds, STAGES, modelsOf) : stores;
  const statesBefore = new Map(
    before.beds.flatMap(({ bedId, state }) => {
      const store = storesBefore.get(bedId);
      return store !== undefined && fits(state, store) ? [[bedId, state] as const] : [];
    }),
  );
  const states = assimilateLooks(
    { site: siteBefore, stages: STAGES, stores: storesBefore, hours, runs },
    { statesBefore, fromMs: before.startMs, toMs, seen },
  );
  if (!moved) return states;
  return new Map(
    site.beds.flatMap((bed) => {
      const state = states.get(bed.id);
      const [from, to] = [storesBefore.get(bed.id), stores.get(bed.id)];
      if (state === undefined || from === undefined || to === undefined) return [];
      if (bed.stage === stageBefore.get(bed.id)) return [[bed.id, state] as const];
      const carried = carriedState(state, from, to);
      return carried === null ? [] : [[bed.id, carried] as const];
    }),
  );
}

/**
 * State of the stores that were looked at today before there was any plan: from their reserve, as a
 * bed of which nothing is known, set right by what was seen. The other beds have none.
 */
export function storesFirstSeen(input: {
  site: Site;
  stores: ReadonlyMap<string, SeedbedStore>;
  fromMs: number;
  toMs: number;
  hours: readonly EtHour[];
  seen: readonly SeenState[];
}): Map<string, StoreState> {
  const { site, stores, fromMs, toMs, hours, seen } = input;
  const { reserveFraction } = site.limits;
  const statesBefore = new Map(
    seen.flatMap(({ bedId }) => {
      const store = stores.get(bedId);
      return store === undefined ? [] : [[bedId, store.stateAt(reserveFraction, 0)] as const];
    }),
  );
  const ground = { site, stages: STAGES, stores, hours, runs: [] };
  return assimilateLooks(ground, { statesBefore, fromMs, toMs, seen });
}
