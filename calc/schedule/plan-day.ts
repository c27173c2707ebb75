import { membersOf } from '../futures/sand-members.ts';
import type { FuturesBasis } from '../futures/weather-futures.ts';
import type { Stage, StageName } from '../growth/stages.ts';
import { looksWorthTaking } from '../looks/worth-in-plan.ts';
import type { SeedbedStore, StoreState } from '../sand/seedbed-store.ts';
import type { EtHour } from '../sky/weather-hour.ts';
import { type RanBefore, seasonWater, waterLeft } from './allowances.ts';
import { type AskedRotation, askedCycles } from './asked-rotations.ts';
import { type BedBalance, bookWater, copyBalance, dryBalance } from './bed-balance.ts';
import { drainedOfCycles, dryBandMs, firstDryMs, reserveOf } from './bed-moisture.ts';
import { bedPlan, keptCycle, type LaidCycle, laidCycle, numberedRuns } from './bed-plan.ts';
import { stateUnknown } from './bed-stores.ts';
import { pondingCapMm } from './cycle-block.ts';
import type { BedGermination, DayPlan, GivenWindAnswer, WindQuestion } from './day-plan.ts';
import { bedDemand, lossCoefficient, STEP_MS, type StepGrid, stepGrid } from './demand.ts';
import type { FormerCycle } from './former-places.ts';
import { leewayOf } from './leeway.ts';
import { asKeptCycles, deepRefills, type NightDay, nightCycles } from './night-cycles.ts';
import type { PlacedCycle } from './placement-pass.ts';
import { type PlanWater, planNotices } from './plan-notices.ts';
import { inReadingOrder, type PlanWarning } from './plan-warning.ts';
import { driftOverHours, groundHour, weatherOfPlan, windyOverHours } from './plan-weather.ts';
import { withRemedies } from './remedies.ts';
import { type KeptCycle, type Run, waterToCome } from './run.ts';
import { shortagesOf } from './shortages.ts';
import type { KeepOff, Site } from './site.ts';
import { nightWarnings, planWarnings } from './warnings.ts';
import {
  type DayFrame,
  dayFrame,
  frostKeepOffs,
  type NightWater,
  NO_WATER_BELOW_C,
  nightParts,
} from './water-hours.ts';
import { layInWind } from './wind-layout.ts';

const HOUR_MS = 3_600_000;
/** Futures of a bed at most, where the weather is taken as told. */
const FUTURES = 24;

/** Everything a day's plan is worked out from; the same input gives the same plan. */
export interface DayPlanInput {
  site: Site;
  stages: Readonly<Record<StageName, Stage>>;
  /** `YYYY-MM-DD` at the site. */
  siteDay: string;
  revision: number;
  madeAtMs: number;
  /** First instant of the site day, of the next one, and of the one after. */
  dayStartMs: number;
  nextDayStartMs: number;
  afterNextDayStartMs: number;
  /** The instant that the stores are given for. */
  startMs: number;
  /** New runs start from here on: later than `startMs` by the time it takes to read a plan. */
  firstRunMs: number;
  /** Cycles of the plan in force that begin before `firstRunMs` or run over `startMs`. */
  kept: readonly KeptCycle[];
  /** Cycles of the plan in force that are still to come, which people count on; left out: none. */
  former?: readonly FormerCycle[];
  /** Rotations that persons asked for and that have not run yet; left out: none. */
  asked?: readonly AskedRotation[];
  /** What a person answered to the wind today; left out or null: nothing. */
  windAnswer?: GivenWindAnswer | null;
  /** What ran before, without the kept cycles; left out: nothing. */
  ranBefore?: RanBefore;
  /** Hours without a gap from `startMs` to `horizonEndMs`. */
  hours: readonly EtHour[];
  /** Ways in which these hours may turn out, all as likely; left out: as they are. */
  weathers?: readonly { hours: readonly EtHour[] }[];
  weather: { source: string; asOfMs: number | null; futuresBasis?: FuturesBasis };
  keepOffs: readonly KeepOff[];
  /** The store of each bed, by bed id. */
  stores: ReadonlyMap<string, SeedbedStore>;
  /** State of each store at `startMs`; a bed that is missing counts as one of which nothing is known. */
  statesNow: ReadonlyMap<string, StoreState>;
  /** What the planner's caller knows and the person must too, such as open holds. */
  notes: readonly PlanWarning[];
  /** No water at and below this air temperature; left out: 2 °C. */
  frostLimitC?: number;
  /** What is known of the water itself; left out: nothing. */
  water?: PlanWater | null;
  /** Hours before the first of `hours`, for rules that look back to yesterday's noon. */
  hoursBefore?: readonly EtHour[];
  /** When the first green may be expected, by bed id. */
  germination?: ReadonlyMap<string, BedGermination>;
  /** Beds at which a look can tell more, and the eye that would look; left out: nobody asks. */
  lookable?: { bedIds: readonly string[]; eye: readonly number[] };
  /** Exceptions to "no water at night"; left out or null: none. */
  nightWater?: NightWater | null;
  /**
   * True leaves out what is only told and takes longest to work out: what would help a shortage, and
   * the answers to the wind. The cycles are the same.
   */
  isSketch?: boolean;
}

/**
 * Works out the day's plan: each bed's loss against its store, the cycles owed, their place under
 * the limits, and what the person must know.
 *
 * @throws RangeError when the hours do not cover the horizon, or a bed has no station.
 */
export function planDay(input: DayPlanInput): DayPlan {
  const { site, stages, hours, startMs } = input;
  const ahead = hours.filter((hour) => hour.startMs + HOUR_MS > startMs);
  const { limits } = site;
  const frame = dayFrame(input);
  const { window } = frame;
  const grid = stepGrid(startMs, Math.max(frame.horizonEndMs, startMs + HOUR_MS));
  const daylight = {
    startMs: frame.sunriseMs ?? window.firstStartMs,
    endMs: frame.sunsetMs ?? window.lastEndMs,
  };
  const driftAt = driftOverHours(hours, daylight);
  const { frostLimitC = NO_WATER_BELOW_C, isSketch = false } = input;
  const bedIds = site.beds.map((bed) => bed.id);
  const keepOffs = [...input.keepOffs, ...frostKeepOffs({ hours, bedIds, limitC: frostLimitC })];

  const weathers = fromGreatestLoss(input.weathers ?? []).map((weather) => ({
    ...weather,
    netFactor: netFactors(grid, driftAt, driftOverHours(weather.hours, daylight)),
  }));
  const placing = site.beds.map((bed) => {
    const stage = stages[bed.stage];
    const store = storeOf(input.stores, bed.id);
    const stations = site.stations.filter((station) => station.bedId === bed.id);
    const coefficient = lossCoefficient(stage, hours, bed.seenCoverFraction);
    const demand = bedDemand(bed, hours, coefficient, grid);
    const stateNow = input.statesNow.get(bed.id) ?? stateUnknown(store);
    const balance = dryBalance({
      store,
      grid,
      demand,
      weathers:
        weathers.length > 0
          ? weathers.map((weather) => ({
              ...bedDemand(bed, weather.hours, coefficient, grid),
              netFactor: weather.netFactor,
            }))
          : // Many sands in one weather: as many futures of them as there are of many weathers. A few
            // are each followed by its own weight.
            new Array<typeof demand>(membersOf(store).length > FUTURES ? FUTURES : 0).fill(demand),
      stateNow,
      stations,
      riskFraction: limits.riskFraction,
    });
    const dryAtMs = firstDryMs(balance, startMs);
    const dryBand = dryBandMs(balance, startMs);
    const reserveMm = reserveOf(balance);
    const kept = keptOfBed(balance, input, bed.id);
    return {
      bed,
      kept,
      dryAtMs,
      dryBand,
      reserveMm,
      stations,
      balance,
      doseCapMm: Math.min(stage.doseCapMm, pondingCapMm(bed, stations, stage.coverFraction === 0)),
      keepOffs: keepOffs.filter((off) => off.bedId === bed.id),
      leastCycles: bed.stage === 'germination' ? limits.leastCycles : 0,
    };
  });
  const bare = {
    beds: placing,
    limits,
    window,
    startMs: input.firstRunMs,
    kept: input.kept,
    ...(input.ranBefore === undefined ? {} : { before: input.ranBefore }),
    driftAt,
    isWindyAt: windyOverHours(hours, site.limits.windLimitMPerS),
  };
  const night = nightOf(input, { ...frame, day: bare });
  const early = night?.early() ?? [];
  const asked = askedCycles(
    { ...bare, kept: [...input.kept, ...asKeptCycles(early)] },
    input.asked ?? [],
  );
  const day = { ...bare, kept: [...input.kept, ...asKeptCycles([...early, ...asked.cycles])] };
  const { cycles, obstructed, unplaced, question } = layInWind(day, {
    former: input.former ?? [],
    answer: input.windAnswer ?? null,
    isSketch,
  });
  const laid = new Map<string, LaidCycle[]>(site.beds.map((bed) => [bed.id, []]));
  for (const { cycle, drainedMm } of placing.flatMap((one) => one.kept)) {
    if (cycle.startMs >= startMs) laid.get(cycle.bedId)?.push(keptCycle(cycle, drainedMm));
  }
  const late = night?.late([...day.kept, ...asKeptCycles(cycles)]) ?? [];
  for (const cycle of [...early, ...asked.cycles, ...cycles, ...late]) {
    laid.get(cycle.bedId)?.push(laidCycle(cycle));
  }
  for (const ofBed of laid.values()) ofBed.sort((a, b) => a.startMs - b.startMs);
  const beds = placing.map((one) =>
    bedPlan({
      ...one,
      startMs,
      window,
      daylight,
      laid: laid.get(one.bed.id) ?? [],
      germination: input.germination?.get(one.bed.id) ?? null,
    }),
  );
  const found = placing.flatMap((one) =>
    shortagesOf({
      bedId: one.bed.id,
      balance: one.balance,
      daylight,
      window,
      obstructed,
    }),
  );
  const shortages = isSketch
    ? found
    : // What would help is worked out on the day as it was before placing.
      withRemedies(found, { ...day, beds: unplaced }, { obstructed, placed: placing, daylight });
  const runs = [...laid.values()].flatMap(numberedRuns).sort(inTimeOrder);
  const weather = weatherOfPlan({
    hours: hours.filter((hour) => hour.startMs < input.nextDayStartMs),
    startMs,
    ...input.weather,
  });
  return {
    formatVersion: 2,
    siteId: site.id,
    siteName: site.name,
    siteDay: input.siteDay,
    revision: input.revision,
    madeAtMs: input.madeAtMs,
    startMs,
    firstRunMs: input.firstRunMs,
    endMs: input.nextDayStartMs,
    sunriseMs: frame.sunriseMs,
    sunsetMs: frame.sunsetMs,
    beds,
    runs,
    shortages,
    warnings: inReadingOrder([
      ...input.notes,
      ...asked.unplaced.map(({ bedId, who }): PlanWarning => {
        return { code: 'rotation_unplaced', bedId, who };
      }),
      ...(question === null ? [] : [windWarning(question)]),
      ...(input.nightWater ? nightWarnings({ ...input, night: input.nightWater, beds }) : []),
      ...planWarnings({ site, beds, shortages, weather }),
    ]),
    notices: planNotices({
      site,
      stages,
      beds,
      hours,
      hoursBefore: input.hoursBefore ?? [],
      startMs,
      endMs: input.nextDayStartMs,
      noonMs: noonHour(input.dayStartMs, daylight),
      frostLimitC,
      window,
      water: input.water ?? null,
    }),
    weather,
    ground: {
      firstStartMs: window.firstStartMs,
      lastEndMs: window.lastEndMs,
      nextFirstStartMs: window.nextFirstStartMs,
      limits,
      hours: ahead.map((hour) => groundHour(hour, driftAt(hour.startMs))),
    },
    ...seasonWater(site, runs, input),
    ...planLeeway(unplaced, laid, { input, window }),
    ...worthLookingOf(placing, { ...input, toMs: daylight.endMs }),
    ...(question === null ? {} : { question }),
  };
}

/** How far the day may be followed without another confirm, where the site lets it. */
function planLeeway(
  beds: readonly { bed: { id: string }; balance: BedBalance }[],
  laid: ReadonlyMap<string, readonly LaidCycle[]>,
  { input, window }: { input: DayPlanInput; window: DayFrame['window'] },
): Pick<DayPlan, 'leeway'> {
  const { site, firstRunMs } = input;
  const bounds = site.limits.leeway ?? null;
  if (bounds === null) return {};
  const { allowedL } = waterLeft(site.limits, input.ranBefore);
  const leeway = leewayOf(
    beds.map(({ bed, balance }) => ({ bedId: bed.id, balance, laid: laid.get(bed.id) ?? [] })),
    {
      site,
      bounds,
      fromMs: Math.max(firstRunMs, window.firstStartMs),
      untilMs: window.lastEndMs,
      nextMs: window.nextFirstStartMs,
      mostL: Number.isFinite(allowedL) ? allowedL : null,
    },
  );
  return { leeway };
}

/** Where a look would tell most; sketches are compared, and nobody walks by them. */
function worthLookingOf(
  beds: readonly { bed: { id: string }; balance: BedBalance }[],
  { lookable, isSketch, firstRunMs, toMs }: DayPlanInput & { toMs: number },
): Pick<DayPlan, 'worthLooking'> {
  if (lookable === undefined || isSketch === true) return {};
  const own = beds.filter(({ bed }) => lookable.bedIds.includes(bed.id));
  const found = looksWorthTaking(
    own.map(({ bed, balance }) => ({ bedId: bed.id, balance })),
    { eye: lookable.eye, fromMs: firstRunMs, toMs },
  );
  return found.length === 0 ? {} : { worthLooking: found };
}

/** The bed's cycles that stand already, booked, with what drains for each of them. */
function keptOfBed(
  balance: BedBalance,
  { kept, startMs }: Pick<DayPlanInput, 'kept' | 'startMs'>,
  bedId: string,
): { cycle: KeptCycle; drainedMm: number }[] {
  const own = kept
    .filter((cycle) => cycle.bedId === bedId)
    .toSorted((a, b) => a.startMs - b.startMs);
  if (own.length === 0) return [];
  const without = copyBalance(balance);
  for (const cycle of own) bookWater(balance, waterToCome(cycle.runs, startMs));
  const starts = own.map((cycle) => Math.max(startMs, cycle.startMs));
  const drained = drainedOfCycles(balance, without, starts);
  return own.map((cycle, at) => ({ cycle, drainedMm: drained[at] ?? 0 }));
}

/** The ways that the weather may turn out, from the greatest loss to the least. */
export function fromGreatestLoss(weathers: readonly { hours: readonly EtHour[] }[]) {
  const lossMm = (hours: readonly EtHour[]) =>
    hours.reduce((sum, hour) => sum + hour.referenceEtMm, 0);
  return weathers
    .map((weather) => ({ ...weather, lossMm: lossMm(weather.hours) }))
    .sort((a, b) => b.lossMm - a.lossMm);
}

/** What reaches the ground in one weather against another, step by step. */
function netFactors(
  grid: StepGrid,
  plannedAt: (instantMs: number) => number,
  driftAt: (instantMs: number) => number,
): Float64Array {
  return Float64Array.from({ length: grid.steps }, (_, step) => {
    const atMs = grid.startMs + step * STEP_MS;
    return (1 - driftAt(atMs)) / (1 - plannedAt(atMs));
  });
}

/** The parts of the night with their cycles, the early one before the day's and the late one after. */
function nightOf(
  input: DayPlanInput,
  frame: DayFrame & { day: Omit<NightDay, 'siteDay' | 'night' | 'stages'> },
): { early(): PlacedCycle[]; late(kept: readonly KeptCycle[]): PlacedCycle[] } | null {
  const { nightWater, siteDay, stages } = input;
  if (!nightWater) return null;
  const day = { ...frame.day, siteDay, stages, night: nightWater };
  const parts = nightParts({ ...input, ...frame });
  return {
    early() {
      const deep = deepRefills(day);
      const kept = [...day.kept, ...asKeptCycles(deep)];
      const needed = nightCycles({ ...day, kept }, 'early', parts.early);
      return [...deep, ...needed].sort((a, b) => a.startMs - b.startMs);
    },
    late: (kept) => nightCycles({ ...day, kept }, 'late', parts.late),
  };
}

/** The full hour of the site's clock that is nearest to the sun's noon. */
function noonHour(dayStartMs: number, daylight: { startMs: number; endMs: number }): number {
  const noonMs = (daylight.startMs + daylight.endMs) / 2;
  return dayStartMs + Math.round((noonMs - dayStartMs) / HOUR_MS) * HOUR_MS;
}

/** @throws RangeError when a bed has no store: a bed without one cannot be planned. */
function storeOf(stores: ReadonlyMap<string, SeedbedStore>, bedId: string): SeedbedStore {
  const store = stores.get(bedId);
  if (store === undefined) {
    throw new RangeError(`stores: none for a bed (got ${bedId}); derive one from its sand`);
  }
  return store;
}

function inTimeOrder(a: Run, b: Run): number {
  return a.startMs - b.startMs || (a.stationId < b.stationId ? -1 : 1);
}

/** The wind's question; what is asked, and what was answered, stand in it. */
function windWarning({ answered }: WindQuestion): PlanWarning {
  return { code: answered === undefined ? 'wind_question' : 'wind_answered', bedId: null };
}
