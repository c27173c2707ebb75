import { correctedState } from '../../calc/looks/corrected-state.ts';
import type { StoreState } from '../../calc/sand/seedbed-store.ts';
import { advanceStores } from '../../calc/schedule/advance-stores.ts';
import { bedDemand, STEP_MIN, STEP_MS, stepGrid } from '../../calc/schedule/demand.ts';
import { lossCoefficient } from '../../calc/schedule/loss-coefficient.ts';
import { mapStations } from '../../calc/schedule/station-states.ts';
import type { SeenState } from './seen-states.ts';

type Followed = Parameters<typeof advanceStores>[0];
type Ground = Pick<Followed, 'site' | 'stages' | 'stores' | 'hours' | 'runs'>;

/**
 * Brings the stores up to now and sets each right where its bed was looked at in between. Pure.
 * Looks from before `fromMs` are in the states already; what was seen within the same five minutes
 * counts after what ran in them.
 */
export function assimilateLooks(
  ground: Ground,
  asked: Pick<Followed, 'statesBefore' | 'fromMs' | 'toMs'> & { seen: readonly SeenState[] },
): Map<string, StoreState> {
  const { statesBefore, fromMs, toMs } = asked;
  const seen = asked.seen.filter((one) => one.seenMs >= fromMs && one.seenMs <= toMs);
  const states = advanceStores({ ...ground, statesBefore, fromMs, toMs });
  for (const bedId of new Set(seen.map((one) => one.bedId))) {
    const own = seen.filter((one) => one.bedId === bedId);
    const site = { ...ground.site, beds: ground.site.beds.filter((bed) => bed.id === bedId) };
    let atMs = fromMs;
    let state = statesBefore.get(bedId);
    for (const { seenMs, seen: what } of own) {
      if (state === undefined) break;
      const untilMs = Math.max(atMs, Math.round(seenMs / STEP_MS) * STEP_MS);
      state = broughtUp({ ...ground, site }, bedId, state, { fromMs: atMs, toMs: untilMs });
      atMs = untilMs;
      // The look speaks of the whole bed: each station's part is set right by it.
      state = mapStations(state, (own) => {
        const moment = momentOf({ ...ground, site }, own, atMs);
        return moment === null ? own : correctedState(moment, what);
      });
    }
    if (state === undefined) continue;
    states.set(bedId, broughtUp({ ...ground, site }, bedId, state, { fromMs: atMs, toMs }));
  }
  return states;
}

function broughtUp(
  ground: Ground,
  bedId: string,
  state: StoreState,
  stretch: { fromMs: number; toMs: number },
): StoreState {
  if (stretch.toMs <= stretch.fromMs) return state;
  const statesBefore = new Map([[bedId, state]]);
  return advanceStores({ ...ground, statesBefore, ...stretch }).get(bedId) ?? state;
}

function momentOf({ site, stages, stores, hours }: Ground, state: StoreState, atMs: number) {
  const [bed] = site.beds;
  const store = bed === undefined ? undefined : stores.get(bed.id);
  if (bed === undefined || store === undefined) return null;
  const coefficient = lossCoefficient(stages[bed.stage], hours, bed.seenCoverFraction);
  const { demandMm } = bedDemand(bed, hours, coefficient, stepGrid(atMs, atMs + STEP_MS));
  return { store, state, demandMmPerH: (Math.max(0, demandMm[0] ?? 0) * 60) / STEP_MIN };
}
