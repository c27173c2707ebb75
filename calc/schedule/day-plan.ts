import type { Notice } from '../growth/notice.ts';
import type { StageName } from '../growth/stages.ts';
import type { StoreState } from '../sand/seedbed-store.ts';
import type { EtHour, FilledValue, HourOrigin } from '../sky/weather-hour.ts';
import type { PlanWarning } from './plan-warning.ts';
import type { PlannedSite } from './planned-site.ts';
import type { Reason } from './reasons.ts';
import type { Run } from './run.ts';
import type { Shortage } from './shortage.ts';
import type { Limits } from './site.ts';
import type { WindQuestion } from './wind-answers.ts';

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
export interface PlanGround {
  /** Bounds of the hours of water, and the next day's first start. */
  firstStartMs: number;
  lastEndMs: number;
  nextFirstStartMs: number;
  limits: Limits;
  hours: GroundHour[];
}

/** The season's water against its allowance. */
export interface SeasonWater {
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
  /** What a person has to decide because of the wind; left out when there is nothing. */
  question?: WindQuestion;
}
