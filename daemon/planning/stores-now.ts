import { STAGES } from '../../calc/growth/stages.ts';
import { correctedState } from '../../calc/looks/look-evidence.ts';
import type { SeedbedStore, StoreState } from '../../calc/sand/seedbed-store.ts';
import {
  advanceStores,
  bedStores,
  carriedState,
  fits,
  type MembersOf,
  stateUnknown,
} from '../../calc/schedule/bed-stores.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import {
  bedDemand,
  lossCoefficient,
  STEP_MIN,
  STEP_MS,
  stepGrid,
} from '../../calc/schedule/demand.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { Site } from '../../calc/schedule/site.ts';
import { mapStations } from '../../calc/schedule/station-states.ts';
import type { EtHour } from '../../calc/sky/weather-hour.ts';
import { whatRan } from '../delivery/what-ran.ts';
import type { Db } from '../site/store/database.ts';
import { firstGivenOfLogged, type StoredHandWater } from '../site/store/hand-records.ts';
import { firstSeenOfLogged } from '../site/store/looks.ts';
import { newestPlan, newestPlanBy, type StoredPlan } from '../site/store/plans.ts';
import { DEFAULT_FIELD_RULE, type FieldRule } from '../site/store/run-state.ts';
import { firstLearnedSince } from './applied-water.ts';
import type { SeenState } from './learned-beds.ts';
import { siteInStages } from './person-records.ts';

/** A store carried on for longer than this from one plan to the next is not worth believing. */
const STORE_VALID_MS = 48 * 3_600_000;

/**
 * The plan from which the stores are carried on to now, or null: the newest, unless something has
 * come to light since that was before it: water by hand or a look that was logged late or taken back, or a report of what
 * ran or its absence. Then it is the one that had not yet passed it over.
 */
export function planToCarryOnFrom(
  db: Db,
  nowMs: number,
  rule: FieldRule = DEFAULT_FIELD_RULE,
): StoredPlan | null {
  const newest = newestPlan(db);
  if (newest === null || !isValid(newest, nowMs)) return null;
  const { madeAtMs, startMs } = newest.plan;
  const ran = whatRan(db, { fromMs: startMs - STORE_VALID_MS, nowMs, rule });
  const known = [
    firstGivenOfLogged(db, madeAtMs),
    firstSeenOfLogged(db, madeAtMs),
    firstLearnedSince(ran, madeAtMs, rule),
  ];
  const givenMs = Math.min(...known.map((ms) => ms ?? Number.POSITIVE_INFINITY));
  if (givenMs > startMs) return newest;
  // Strictly before: a plan made in the very moment of a look starts from it, also once it was taken back.
  const earlier = newestPlanBy(db, givenMs - 1);
  return earlier !== null && isValid(earlier, nowMs) ? earlier : newest;
}

/**
 * Water by hand that counts from a plan's start on. What was logged since, but given before any plan
 * that can be carried on from, counts as given at the plan's start.
 */
export function handWaterOf(
  handWater: readonly StoredHandWater[],
  plan: StoredPlan,
  nowMs: number,
): StoredHandWater[] {
  const { startMs, madeAtMs } = plan.plan;
  return handWater
    .filter(
      (one) =>
        one.startMs >= startMs - STORE_VALID_MS &&
        one.startMs < nowMs &&
        (one.startMs >= startMs || one.atMs >= madeAtMs),
    )
    .map((one) => ({ ...one, startMs: Math.max(one.startMs, startMs) }));
}

function isValid({ plan }: StoredPlan, nowMs: number): boolean {
  return nowMs - plan.startMs <= STORE_VALID_MS;
}

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
  membersOf: MembersOf;
  before: DayPlan;
  toMs: number;
  hours: readonly EtHour[];
  runs: readonly Run[];
  /** What was seen meanwhile, in order: each sets its bed's store right at its moment. */
  seen: readonly SeenState[];
}): Map<string, StoreState> {
  const { site, stores, membersOf, before, toMs, hours, runs, seen } = input;
  const stageBefore = new Map(before.beds.map((bed) => [bed.bedId, bed.stage]));
  const siteBefore = siteInStages(site, stageBefore);
  const moved = siteBefore.beds.some((bed, index) => bed.stage !== site.beds[index]?.stage);
  const storesBefore = moved ? bedStores(siteBefore.beds, STAGES, membersOf) : stores;
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
 * State of the stores that were looked at today before there was any plan: as
 * beds of which nothing is known, set right by what was seen. The other beds have none.
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
  const statesBefore = new Map(
    seen.flatMap(({ bedId }) => {
      const store = stores.get(bedId);
      return store === undefined ? [] : [[bedId, stateUnknown(store)] as const];
    }),
  );
  const ground = { site, stages: STAGES, stores, hours, runs: [] };
  return assimilateLooks(ground, { statesBefore, fromMs, toMs, seen });
}

type AdvanceInputs = Parameters<typeof advanceStores>[0];
type BalanceInputs = Pick<AdvanceInputs, 'site' | 'stages' | 'stores' | 'hours' | 'runs'>;

/**
 * Brings the stores up to now and sets each right where its bed was looked at in between. Pure.
 * Looks from before `fromMs` are in the states already; what was seen within the same five minutes
 * counts after what ran in them.
 */
function assimilateLooks(
  ground: BalanceInputs,
  asked: Pick<AdvanceInputs, 'statesBefore' | 'fromMs' | 'toMs'> & { seen: readonly SeenState[] },
): Map<string, StoreState> {
  const { statesBefore, fromMs, toMs } = asked;
  const seen = asked.seen.filter((one) => one.seenMs >= fromMs && one.seenMs <= toMs);
  const states =
    toMs > fromMs
      ? advanceStores({ ...ground, statesBefore, fromMs, toMs })
      : new Map(statesBefore);
  for (const bedId of new Set(seen.map((one) => one.bedId))) {
    const own = seen.filter((one) => one.bedId === bedId);
    const site = { ...ground.site, beds: ground.site.beds.filter((bed) => bed.id === bedId) };
    let atMs = fromMs;
    let state = statesBefore.get(bedId);
    for (const { seenMs, seen: what } of own) {
      if (state === undefined) break;
      const untilMs = Math.max(atMs, Math.round(seenMs / STEP_MS) * STEP_MS);
      state = advanceBed({ ...ground, site }, bedId, state, { fromMs: atMs, toMs: untilMs });
      atMs = untilMs;
      // The look speaks of the whole bed: each station's part is set right by it.
      state = mapStations(state, (own) => {
        const moment = bedMomentAt({ ...ground, site }, own, atMs);
        return moment === null ? own : correctedState(moment, what);
      });
    }
    if (state === undefined) continue;
    states.set(bedId, advanceBed({ ...ground, site }, bedId, state, { fromMs: atMs, toMs }));
  }
  return states;
}

function advanceBed(
  ground: BalanceInputs,
  bedId: string,
  state: StoreState,
  stretch: { fromMs: number; toMs: number },
): StoreState {
  if (stretch.toMs <= stretch.fromMs) return state;
  const statesBefore = new Map([[bedId, state]]);
  return advanceStores({ ...ground, statesBefore, ...stretch }).get(bedId) ?? state;
}

function bedMomentAt(
  { site, stages, stores, hours }: BalanceInputs,
  state: StoreState,
  atMs: number,
) {
  const [bed] = site.beds;
  const store = bed === undefined ? undefined : stores.get(bed.id);
  if (bed === undefined || store === undefined) return null;
  const coefficient = lossCoefficient(stages[bed.stage], hours, bed.seenCoverFraction);
  const { demandMm } = bedDemand(bed, hours, coefficient, stepGrid(atMs, atMs + STEP_MS));
  return { store, state, demandMmPerH: (Math.max(0, demandMm[0] ?? 0) * 60) / STEP_MIN };
}
