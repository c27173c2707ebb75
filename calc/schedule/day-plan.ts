import type { FuturesBasis } from '../futures/weather-futures.ts';
import type { Notice } from '../growth/notice.ts';
import type { StageName } from '../growth/stages.ts';
import type { StoreState } from '../sand/seedbed-store.ts';
import type { EtHour, FilledValue, HourOrigin } from '../sky/weather-hour.ts';
import type { DryBand } from './bed-moisture.ts';
import type { PlanLeeway } from './plan-leeway.ts';
import type { PlanWarning } from './plan-warning.ts';
import type { Run } from './run.ts';
import type { KeepOffCause, Limits, Site, SupplyLimit } from './site.ts';
import type { NightException } from './water-hours.ts';

/** One watering of one bed: its stations' runs taken together. */
export interface Cycle {
  cycle: number;
  startMs: number;
  endMs: number;
  /** Latest start that is safe by the bed's need; null: none, or it was kept; left out by plans of before. */
  wantedStartMs?: number | null;
  /** Mean over the bed's stations. */
  grossMm: number;
  netMm: number;
  /** Part of the net depth that the store cannot hold. */
  drainedMm: number;
  rotations: number;
  /** Wind drift and evaporation in flight, part of the gross depth. */
  driftLossFraction: number;
  reasons: Reason[];
}

/** A notice of the day, and the beds that it speaks of. */
export interface PlanNotice extends Notice {
  /** Empty: the whole site. */
  bedIds: string[];
}

/** When a bed's first green may be expected: a window, never a date. */
export interface BedGermination {
  /** Base temperature of the degree-days. */
  baseTempC: number;
  /** Degree-days gathered by the plan's start, and those at which the window opens and closes. */
  sumCDays: number;
  leastCDays: number;
  mostCDays: number;
  /** Null while the seedbed is too cold for anything to come. */
  earliestMs: number | null;
  latestMs: number | null;
  sownMs: number;
  /** Warmth counts from here: later than `sownMs` where no weather from before is known. */
  countedFromMs: number;
  /** Hours since then without a temperature. */
  missingHours: number;
}

/** A station's day: what it gives to its part of the bed, and how that part fares. */
export interface StationDay {
  stationId: string;
  rotations: number;
  runS: number;
  grossMm: number;
  netMm: number;
  /** Net depth as a part of the bed's loss, percent; null when there is no loss. */
  percentOfLoss: number | null;
  /** Water of the day's runs that the part's store cannot hold. */
  drainedMm: number;
  /** Daylight minutes that the part is expected below its dry limit. */
  minutesBelowDryLimit: number;
}

/** The two ends of the store's band of nine in ten, one value each `stepMin` from the store's `startMs`. */
export interface StoreBand {
  stepMin: number;
  lowerMm: number[];
  upperMm: number[];
}

/** A bed's day: what it loses, what it gets, and how its store fares. */
export interface BedPlan {
  bedId: string;
  name: string;
  stage: StageName;
  /** Water between full and the dry limit at the hottest hour ahead. */
  capacityMm: number;
  /** The part of it that is never planned away. */
  reserveMm: number;
  /** Water above the dry limit when the plan was made. */
  storeNowMm: number;
  /** The store's parts at that instant, to be carried on from. */
  state: StoreState;
  /** When the store reaches the dry limit if nothing is watered; null when not in the horizon. */
  dryAtMs: number | null;
  /** The same in nine of ten of its futures; left out of plans that had none. */
  dryBandMs?: DryBand;
  /** Share of its futures in which it gets dry by day for a while, cycles and all; left out likewise. */
  dryRiskFraction?: number;
  /** Expected loss over the site day's part that the plan covers. */
  lossMm: number;
  rainMm: number;
  /** Means over the bed's stations. */
  grossMm: number;
  netMm: number;
  /** Of the part that drains most. */
  drainedMm: number;
  /** Net depth of the station that gives least as a part of the loss, percent; null without a loss. */
  percentOfLoss: number | null;
  /** Each station's own day; left out only by plans kept before they carried it. */
  stations?: StationDay[];
  /** Daylight minutes that the driest part is expected below the dry limit, and its lowest. */
  minutesBelowDryLimit: number;
  lowestStoreMm: number;
  lowestAtMs: number;
  cycles: Cycle[];
  /** Null once the bed has emerged, and where no day of seeding or no weather is known. */
  germination: BedGermination | null;
  /** Expected store from `startMs`, one value each `stepMin`. */
  expectedStore: {
    startMs: number;
    stepMin: number;
    storeMm: number[];
    /** What a cycle could still bring at each step; left out by plans of before. */
    roomMm?: number[];
    /** Between which values it lies in nine of ten futures; left out of plans that had none. */
    band?: StoreBand;
  };
}

/** Hours that one source told, of one origin. */
export interface WeatherShare {
  source: string;
  origin: HourOrigin;
  hours: number;
  /** How young that was; null when the source cannot say. */
  asOfMs: number | null;
}

/** Where the plan's weather came from. */
export interface PlanWeather {
  source: string;
  asOfMs: number | null;
  /** Hours by origin over the horizon. */
  hoursByOrigin: Record<HourOrigin, number>;
  /** Who told how many of the hours; left out where nobody said. */
  shares?: WeatherShare[];
  /** Each filled field once, with how and for how many hours. */
  filled: (FilledValue & { hours: number })[];
  referenceEtMm: number;
  highC: number;
  lowC: number;
  windMaxMPerS: number;
  rainMm: number;
  /** Hours of the plan, from its start on, that nobody measured or foretold; left out: none. */
  standInH?: number;
  /** Where the spread of its futures comes from; left out: it is taken as told. */
  futuresBasis?: FuturesBasis;
}

/** The weather of an hour, as the plan was laid on it. */
export type GroundHour = Pick<
  EtHour,
  | 'startMs'
  | 'airTempC'
  | 'vapourPressureKPa'
  | 'windMPerS'
  | 'solarMjPerM2'
  | 'rainMm'
  | 'referenceEtMm'
> & { driftLossFraction: number };

/** What a plan was laid on: enough for another program to check it. */
interface PlanGround {
  /** Bounds of the hours of water, and the next day's first start. */
  firstStartMs: number;
  lastEndMs: number;
  nextFirstStartMs: number;
  limits: Limits;
  hours: GroundHour[];
}

/** A bed and a time at which a look would tell most of what the plan does not know. */
export interface WorthLooking {
  bedId: string;
  atMs: number;
}

/** The season's water against its allowance. */
interface SeasonWater {
  allowedL: number;
  /** What ran before this plan. */
  usedL: number;
  /** What this plan would still run, cycles that stand already among it. */
  plannedL: number;
  /** What is left after both; below 0 where cycles stood already. */
  leftL: number;
}

/**
 * The plan of one site day: a value. Every revision is a new value; its digest is taken over its
 * document form.
 */
export interface DayPlan {
  /** 2: codes and numbers; left out by plans kept before, whose warnings and notices are worded. */
  formatVersion?: 2;
  siteId: string;
  siteName: string;
  /** The site that it was made for; left out only by plans kept before they carried it. */
  madeFor?: PlannedSite;
  /** `YYYY-MM-DD` at the site. */
  siteDay: string;
  /** 1 for the first plan of the site day, then one more each. */
  revision: number;
  madeAtMs: number;
  /** The stores are given for this instant. */
  startMs: number;
  /** New runs start from here on; before it stand cycles of the plan in force. */
  firstRunMs: number;
  /** After this nothing of the plan may start: the next site day's plan takes over. */
  endMs: number;
  sunriseMs: number | null;
  sunsetMs: number | null;
  beds: BedPlan[];
  runs: Run[];
  /** What does not fit. */
  shortages: Shortage[];
  warnings: PlanWarning[];
  /** What the weather and the water ask a person to know, worst first. */
  notices: PlanNotice[];
  weather: PlanWeather;
  /** Left out by plans of before. */
  ground?: PlanGround;
  /** Water of the season where it has an allowance; left out where there is none. */
  seasonWater?: SeasonWater;
  /** Where and when a look would tell most, in order of time; left out where none is asked for. */
  worthLooking?: WorthLooking[];
  /** What may be changed of it without another confirm, where a person confirms it with that. */
  leeway?: PlanLeeway;
  /** What a person has to decide because of the wind; left out when there is nothing. */
  question?: WindQuestion;
}

/** A station as a plan was made for it. */
export interface PlannedStation {
  stationId: string;
  bedId: string;
  precipitationRateMmPerH: number;
  rotationS: number;
  flowLPerMin: number;
  /** Pipes that it hangs on; left out by plans of before, null where it hangs on none. */
  mainId?: string | null;
  lateralId?: string | null;
}

/**
 * The site as a plan was made for it: what must still be so when a run of the plan starts, or its
 * seconds bring another depth to other turf than a person has read. The site's id stands in the plan
 * itself.
 */
export interface PlannedSite {
  /** IANA zone of the site's clock. */
  zone: string;
  bedIds: string[];
  stations: PlannedStation[];
}

/** What of a site a plan carries along, in the order of the config. Pure. */
export function plannedSite({ beds, stations }: Site, zone: string): PlannedSite {
  return {
    zone,
    bedIds: beds.map((bed) => bed.id),
    stations: stations.map((station) => ({
      stationId: station.id,
      bedId: station.bedId,
      precipitationRateMmPerH: station.precipitationRateMmPerH,
      rotationS: station.rotationS,
      flowLPerMin: station.flowLPerMin,
      mainId: station.mainId,
      lateralId: station.lateralId,
    })),
  };
}

/** Why a cycle stands where it stands: a closed list of codes with their measures. */
export type Reason =
  | { code: 'kept' }
  | { code: 'asked_for'; who: string; atMs: number }
  | { code: 'store_at_reserve'; atMs: number }
  | { code: 'first_of_day' }
  | { code: 'last_of_day'; untilMs: number }
  | ({ code: 'before_keep_off'; startMs: number } & KeepOffCause)
  | ({ code: 'after_keep_off'; endMs: number } & KeepOffCause)
  | { code: 'earlier_for_supply'; limit: SupplyLimit; minutes: number }
  | { code: 'later_for_supply'; limit: SupplyLimit; minutes: number }
  | { code: 'earlier_for_day'; minutes: number }
  | { code: 'earlier_to_level'; minutes: number }
  | { code: 'earlier_for_lull'; minutes: number }
  | { code: 'earlier_as_before'; minutes: number }
  | { code: 'rested_first'; restMin: number }
  | { code: 'least_cycles'; cycles: number }
  | { code: 'rotation_exceeds_store'; wasteMm: number }
  | { code: 'for_driest'; wasteMm: number }
  | { code: 'held_at_cap'; capMm: number }
  | { code: 'night_water'; exception: NightException };

/** What stood in the way of water for a short bed at most of the starts. */
export type ShortageCause =
  | SupplyLimit
  | { kind: 'rest' }
  | { kind: 'keep_off'; off: KeepOffCause; endMs: number }
  | { kind: 'before_hours'; firstStartMs: number }
  | { kind: 'day_over'; lastEndMs: number }
  /** The bed stays above its dry limit, and no cycle was added for the reserve alone. */
  | { kind: 'reserve_only' }
  /** No cycle more would make it less dry. */
  | { kind: 'no_cycle_helps' };

/** A change that a person could make to the day. */
export type RemedyChange =
  | { kind: 'keep_off_later' | 'keep_off_earlier'; why: string; minutes: number }
  | { kind: 'first_start_earlier' | 'last_end_later'; minutes: number }
  | { kind: 'one_more_station' }
  | { kind: 'larger_allowance' | 'stronger_pump'; byPct: number };

/** What would help a short bed: found by planning the day anew with it. */
export interface Remedy {
  change: RemedyChange;
  /** Of the bed's minutes below its reserve. */
  savedMin: number;
  /** True where none would be left. */
  isCure: boolean;
}

/** A stretch of daylight in which a bed stays below its reserve. */
export interface ShortStretch {
  bedId: string;
  fromMs: number;
  toMs: number;
  minutesBelowReserve: number;
  minutesBelowDryLimit: number;
  lowestStoreMm: number;
}

/** Such a stretch with what stands in the way, and what would help. */
export interface Shortage extends ShortStretch {
  cause: ShortageCause;
  /** Null where no change that was tried helps, or the bed never comes to its dry limit. */
  remedy: Remedy | null;
}

/** What a person may answer to the wind. */
export const WIND_CHOICES = ['run_anyway', 'skip', 'shorter_and_oftener'] as const;

export type WindChoice = (typeof WIND_CHOICES)[number];

/** What a person has answered. */
export interface GivenWindAnswer {
  choice: WindChoice;
  who: string;
  atMs: number;
}

/** What one answer to the wind costs, over all beds. */
export interface WindAnswer {
  cycles: number;
  /** Water that the wind carries off and the air takes up, mm summed over the beds. */
  driftMm: number;
  /** Minutes below the dry limit in the hours in which water may run, summed over the beds. */
  minutesBelowDryLimit: number;
  /** True where these minutes may be fewer: the work that an answer may take had run out. */
  isAtMost?: boolean;
}

/** What a person has to decide where cycles cannot go round the wind. */
export interface WindQuestion {
  /** First and last instant of the windy cycles, as they are when they run anyway. */
  fromMs: number;
  toMs: number;
  bedIds: string[];
  /** Cycles stay in the wind where no lull takes them. */
  runAnyway: WindAnswer;
  /** Nothing runs while the wind is above the limit. */
  skip: WindAnswer;
  /** Single rotations, as often as they are needed. */
  shorterAndOftener: WindAnswer;
  /** The answer that the plan follows; left out: nobody has answered, and it runs anyway. */
  answered?: GivenWindAnswer;
}
