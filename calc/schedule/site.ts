import type { StageName } from '../growth/stages.ts';
import type { BedProfile } from '../sand/bed-column.ts';
import type { SandReport } from '../sand/retention-curves.ts';
import type { PlainStoreFigures, SandBasis } from '../sand/seedbed-store.ts';

/** Hours without water that no booking of a person sets. */
export type KeepOffKind = 'frost' | 'wind' | 'permit' | 'label_interval' | 'not_seeded' | 'stopped';

/** What keeps water off a bed. */
export interface KeepOffCause {
  /** What the turf is needed for, in the person's words: "mow", "roll"; empty where the kind says all. */
  why: string;
  /** Left out: a person has booked it. */
  kind?: KeepOffKind;
  /** Who stopped the water; left out: nobody did. */
  who?: string;
}

/** A stretch of time during which nothing may run on a bed, and whose it is. */
export interface KeepOff extends KeepOffCause {
  bedId: string;
  startMs: number;
  endMs: number;
}

/** What keeps water off, without where and when. */
export function causeOfKeepOff({ why, kind, who }: KeepOffCause): KeepOffCause {
  return { why, ...(kind === undefined ? {} : { kind }), ...(who === undefined ? {} : { who }) };
}

/** A bed's sand and how its figures came to be known. */
export interface BedSand {
  /** The person's name for it, or that of its class. */
  name: string;
  basis: SandBasis;
  /** The person's own figures of the seed layer's store; null: they are worked out. */
  stated: PlainStoreFigures | null;
  /** Key of the sand class that stands in for what is not known. */
  className: string;
  /** Saturated conductivity: the report's, or the class's. */
  saturatedMmPerH: number;
  /** The laboratory's report with the bed's build; null when there is none. */
  lab: { report: SandReport; depthMm: number; under: BedProfile['under'] } | null;
}

/** A seeded area that is treated as one. */
export interface Bed {
  id: string;
  name: string;
  areaM2: number;
  /** Site day of seeding, `YYYY-MM-DD`, or null before seeding. */
  seededOn: string | null;
  /** True: a person wants it watered before its day of seeding too; left out: no. */
  waterBeforeSeeding?: boolean;
  stage: StageName;
  /** Part of it that shows green, as a person last saw it in this stage; left out: the stage's own. */
  seenCoverFraction?: number;
  sand: BedSand;
  /** Depth of the dimples that the seed was pressed into, 0 when the surface is even. */
  embeddingMm: number;
  slopePct: number;
  /** Loss of this bed against an open, level one: below 1 in shade, above 1 on a windy crown. */
  exposureFraction: number;
  /**
   * Chances that its sand is each of those that it may be, as looks have taught, in the library's
   * order; left out: the library's own.
   */
  memberWeights?: readonly number[];
  /** The person's own correction of the dose on this bed: 1 leaves it alone, 1.1 gives 10 % more. */
  trimFraction: number;
}

/** How a station's precipitation rate came to be known. */
export type RateBasis = 'nozzle' | 'catch_cans' | 'stated';

/** One valve and the heads behind it. */
export interface Station {
  id: string;
  bedId: string;
  flowLPerMin: number;
  /** Gross depth rate over the area that the station waters. */
  precipitationRateMmPerH: number;
  rateBasis: RateBasis;
  /** True when the person measured it on the site; false when it is worked out or taken on trust. */
  rateMeasured: boolean;
  /** Runs are longer by this, at the person's request, so that the drier half gets its depth; or 1. */
  runTimeMultiplierFraction: number;
  /** Time of one full head rotation; runs are whole rotations. */
  rotationS: number;
  mainId: string | null;
  lateralId: string | null;
}

/** A pipe (a main or a lateral) and the flow it may carry. */
interface Pipe {
  id: string;
  flowLPerMin: number;
}

/** How the stations of one bed share its cycle: all together, or one after the other. */
type StationOrder = 'together' | 'in_turn';

/** What the water supply, the valves and the house rules allow. */
export interface Limits {
  pumpFlowLPerMin: number;
  mains: Pipe[];
  laterals: Pipe[];
  stationsAtOnce: number;
  /** Least time between two valves' starts anywhere on the site. */
  startGapS: number;
  /** Shortest run worth opening a valve for. */
  leastRunS: number;
  /** Longest run of a station in one cycle; one rotation is always whole. */
  mostRunS: number;
  /** Run times are whole multiples of this. */
  runStepS: number;
  stationOrder: StationOrder;
  /** Most by which the flow may rise within a minute; null: the pump follows at once. */
  pumpRiseLPerMin: number | null;
  /** Least time between the pump stopping, its last valve shut, and starting again; 0: none. */
  pumpRestS: number;
  /** Most water of one site day; null: no allowance. */
  dayAllowanceL: number | null;
  /** Most water of the whole season; null: no allowance. */
  seasonAllowanceL: number | null;
  /** Least time between the end of one cycle and the start of the next on one bed. */
  restMin: number;
  /** Cycles that a bed in germination gets at least on a day that dries it; 0: as few as it needs. */
  leastCycles: number;
  /** First start of the day, minutes after sunrise (negative: before). */
  firstAfterSunriseMin: number;
  /** Last end of the day, minutes before sunset (negative: after). */
  lastBeforeSunsetMin: number;
  /** Accepted share of the ways in which a day may turn out in which a bed gets dry for a while. */
  riskFraction: number;
  /** Wind at 2 m above which the pattern is badly hurt and the plan warns. */
  windLimitMPerS: number;
  /** How far a plan may be followed through the day without another confirm; left out or null: not. */
  leeway?: LeewayBounds | null;
}

/** How much leeway a site lets a plan have. */
export interface LeewayBounds {
  /** Most cycles that may be added to one bed in a day. */
  spareCycles: number;
  /** Farthest that a cycle may move, to either side. */
  moveMin: number;
  /** Whether cycles may be left out. */
  leaveOut: boolean;
}

/** Everything about a site that the plan depends on, in SI units. */
export interface Site {
  id: string;
  name: string;
  latitudeDeg: number;
  longitudeDeg: number;
  elevationM: number;
  beds: Bed[];
  stations: Station[];
  limits: Limits;
}

/** Names the limit that a cycle would break. */
export type SupplyLimit =
  | { kind: 'pump' }
  | { kind: 'main'; id: string }
  | { kind: 'lateral'; id: string }
  | { kind: 'stations_at_once' }
  | { kind: 'start_gap' }
  | { kind: 'pump_rise' }
  | { kind: 'pump_rest' }
  | { kind: 'allowance' }
  | { kind: 'season_allowance' };
