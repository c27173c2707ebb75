import type { BandSeries } from './store-band.ts';
import type { LineCycle, LineKeepOff, PlanHead, TodayBed } from './today-view.ts';

/** Something that a person saw or measured on the turf. */
export interface LookPoint {
  atMs: number;
  who: string;
  /** "dark", "lightening", "dry", "puddle", "wash", or a probe's reading. */
  kind: string;
  /** Store that a probe's reading stands for; null where it was only looked at. */
  storeMm: number | null;
  line: string;
}

/** A line of the log. */
export interface LogRow {
  stepId: number;
  atMs: number;
  kind: string;
  /** The kind in words: "water stopped". */
  done: string;
  who: string;
  siteDay: string | null;
  revision: number | null;
  what: string;
  /** Time and kind in words: "05:40 plan made". */
  line: string;
}

export interface StageView {
  stage: string;
  /** Stage that rules the water: the younger part's where a patch is slow. */
  ruling: string;
  sinceMs: number | null;
  by: string | null;
  sinceLine: string;
  /** Stages in order, for the choice; and those one step on and back. */
  stages: string[];
  next: string | null;
  previous: string | null;
  /** What a person sees when the bed is ready to move on. */
  signs: string[];
  slowPatches: { name: string; shareFraction: number | null; stage: string; line: string }[];
  prompts: string[];
}

/** Expected store with what drives it, all on one axis of time. */
export interface BedSeries {
  startMs: number;
  stepMin: number;
  /** Above the dry limit; below 0 the seedbed is drier. */
  storeMm: number[];
  /** Between which values it lies nine times in ten; null where the plan does not say. */
  band: BandSeries | null;
  capacityMm: number;
  reserveMm: number;
  /** The dry limit: the store's zero. */
  dryLimitMm: number;
  /** Loss and rain of each whole hour from `startMs`. */
  hourStartMs: number[];
  lossMm: number[];
  rainMm: number[];
}

/** One bed's page. */
export interface BedView {
  version: string;
  nowMs: number;
  plan: PlanHead;
  bed: TodayBed;
  areaM2: number;
  seededOn: string | null;
  stations: {
    id: string;
    flowLPerMin: number;
    precipitationRateMmPerH: number;
    rotationS: number;
    rateMeasured: boolean;
    line: string;
  }[];
  series: BedSeries;
  cycles: LineCycle[];
  keepOffs: LineKeepOff[];
  looks: LookPoint[];
  /** What the sand rests on, one sentence each; and whether it is assumed. */
  sand: { name: string; assumed: boolean; lines: string[] };
  germination: { earliestMs: number | null; latestMs: number | null; line: string } | null;
  stage: StageView;
  log: LogRow[];
}
