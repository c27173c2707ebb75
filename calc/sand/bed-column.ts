import { entryOf } from '../checked-entry.ts';
import { growingGrid } from './column-grid.ts';
import { tabulated, type VanGenuchten, vanGenuchtenMualem } from './hydraulic-properties.ts';
import { withExponent } from './retention-curves.ts';
import {
  type ColumnMoment,
  copyColumn,
  createColumn,
  runColumn,
  type Spell,
  storedMm,
} from './richards-column.ts';
import type { Column } from './richards-step.ts';
import { WET_SURFACE_FRACTION } from './seedbed-model.ts';

/** A bed as the column needs it: one sand, its depth, and what lies under it. */
export interface BedProfile {
  sand: VanGenuchten;
  depthMm: number;
  /** Gravel holds the water above it until the sand there is saturated; open sand lets it fall. */
  under: 'gravel' | 'open';
}

/** Driest head to which the air pulls the surface. */
const DRY_HEAD_MM = -1e5;
const NODES = 45;
/**
 * Five times finer, the end of the wet surface comes 6 % sooner on a full coarse sand and not
 * noticeably sooner on a fine one; on a coarse sand drained overnight, a minute or two sooner.
 */
const FIRST_MM = 0.25;
const WETTING_MM_PER_H = 18;

/**
 * The column of a bed, at 300 mm of suction throughout.
 *
 * @throws RangeError when the depth is below 100 mm
 */
export function bedColumn(bed: BedProfile, grid = { nodes: NODES, firstMm: FIRST_MM }): Column {
  if (!(bed.depthMm >= 100)) {
    throw new RangeError(
      `bedColumn: the sand must be at least 100 mm deep (got ${bed.depthMm}); check the unit`,
    );
  }
  return createColumn({
    grid: growingGrid({ depthMm: bed.depthMm, ...grid }),
    layers: [{ soil: tabulated(vanGenuchtenMualem(bed.sand)), lastNode: grid.nodes - 1 }],
    top: { kind: 'atmosphere', dryHeadMm: DRY_HEAD_MM, pondMm: 5 },
    bottom: { kind: bed.under === 'gravel' ? 'seepage_face' : 'free_drainage' },
    headMm: -300,
  });
}

/** The column after twenty doses of 3 mm and half an hour: the bed's full state. */
export function fullColumn(bed: BedProfile, grid?: { nodes: number; firstMm: number }): Column {
  const column = bedColumn(bed, grid);
  for (let dose = 0; dose < 20; dose++) {
    runColumn(column, { hours: 1 / 6, waterMmPerH: WETTING_MM_PER_H, demandMmPerH: 0 });
    runColumn(column, { hours: 0.5, waterMmPerH: 0, demandMmPerH: 0 });
  }
  return column;
}

/** The same column after a night of twelve hours without demand: what the sand holds overnight. */
export function drainedColumn(full: Column): Column {
  const column = copyColumn(full);
  runColumn(column, { hours: 11.5, waterMmPerH: 0, demandMmPerH: 0 });
  return column;
}

/** When a bed counts as dry: the first of the two events. */
export interface DryLimit {
  seedLayerMm: number;
  /** Mean water content of the seed layer below which it is dry. */
  waterFraction: number;
}

/** Part of the way from residual up to the drained water at which the seed layer counts as dry. */
export const KEPT_FRACTION = 0.5;

/** Which of the two events came first. */
type DryEvent = 'seed_layer' | 'surface';

interface DryMoment {
  hours: number;
  event: DryEvent;
  /** Evaporated since the beginning of the run. */
  evaporatedMm: number;
}

/**
 * The dry limit of a bed: half-way from the drained water content of the seed layer to residual.
 *
 * @param drained the column after a night of draining
 * @param seedLayerMm thickness of the seed layer, mm; 8 when left out
 * @param keptFraction part of the way from residual up to the drained value, 0 to 1; 0.5
 */
export function dryLimitFromDrained(
  drained: Column,
  {
    seedLayerMm = 8,
    keptFraction = KEPT_FRACTION,
  }: { seedLayerMm?: number; keptFraction?: number } = {},
): DryLimit {
  if (!(keptFraction >= 0 && keptFraction < 1 && seedLayerMm > 0)) {
    throw new RangeError(
      `dryLimitFromDrained: the kept part must lie from 0 to below 1 and the layer above 0 mm (got ${keptFraction}, ${seedLayerMm}); give 0.5 for half-way`,
    );
  }
  const residual = entryOf(drained.layers, 0).soil.residualFraction;
  const held = storedMm(drained, seedLayerMm) / seedLayerMm;
  return { seedLayerMm, waterFraction: residual + keptFraction * (held - residual) };
}

/**
 * Which event a moment of the column shows, or null while the bed is moist.
 *
 * @param seen.seedMm water in the seed layer at the end of the moment, mm
 */
export function dryEventOf(
  { evaporationMmPerH }: Pick<ColumnMoment, 'evaporationMmPerH'>,
  seen: { limit: DryLimit; demandMmPerH: number; seedMm: number },
): DryEvent | null {
  const { limit, demandMmPerH, seedMm } = seen;
  if (seedMm < limit.waterFraction * limit.seedLayerMm) return 'seed_layer';
  return evaporationMmPerH < WET_SURFACE_FRACTION * demandMmPerH ? 'surface' : null;
}

/**
 * Tells of each moment of a spell whether the bed is dry then: null while it is moist, while water is
 * on, and before `fromH`.
 *
 * @param watched.begunH hours that had passed when the spell began
 */
export function dryWatch(
  column: Column,
  spell: Spell,
  watched: { limit: DryLimit; fromH: number; begunH: number },
): (moment: ColumnMoment) => Omit<DryMoment, 'evaporatedMm'> | null {
  const { limit, fromH, begunH } = watched;
  const { demandMmPerH } = spell;
  const isJudged = spell.waterMmPerH === 0 && demandMmPerH > 0.001;
  return (moment) => {
    const nowH = begunH + moment.elapsedH;
    if (!isJudged || nowH <= fromH) return null;
    const seedMm = storedMm(column, limit.seedLayerMm);
    const event = dryEventOf(moment, { limit, demandMmPerH, seedMm });
    if (event === null) return null;
    return { hours: event === 'surface' ? nowH - moment.stepH / 2 : nowH, event };
  };
}

/**
 * Runs the column through the spells until the bed is dry: its evaporation falls under 95 % of the
 * demand, or the seed layer under its limit. Spells with water on, and those before `fromH`, are run
 * and not judged.
 *
 * @returns the moment, or null when the bed is not dry at the end of the spells
 */
export function runUntilDry(
  column: Column,
  spells: Iterable<Spell>,
  { limit, fromH = 0, watch }: { limit: DryLimit; fromH?: number; watch?: (hours: number) => void },
): DryMoment | null {
  let hours = 0;
  let evaporatedMm = 0;
  let dry: DryMoment | null = null;
  for (const spell of spells) {
    const dryAt = dryWatch(column, spell, { limit, fromH, begunH: hours });
    const flow = runColumn(column, { longestStepH: 0.03, ...spell }, (moment) => {
      evaporatedMm += moment.evaporationMmPerH * moment.stepH;
      const found = dryAt(moment);
      if (found === null) return false;
      dry = { ...found, evaporatedMm };
      return true;
    });
    if (dry !== null) return dry;
    hours += flow.hours;
    watch?.(hours);
  }
  return null;
}

/** How long a full bed lasts at one demand, and what evaporates until then. */
interface DryDownRow {
  demandMmPerH: number;
  /** Null when the bed is not dry within the longest run. */
  hours: number | null;
  capacityMm: number | null;
  event: DryEvent | null;
}

const DRY_DOWN_RATES_MM_PER_H = [0.1, 0.2, 0.3, 0.5, 0.7, 1] as const;

/**
 * The bed dried from its full state (half an hour after a thorough wetting) at steady demands: the
 * capacity is the mm evaporated when it reaches its dry limit. It is smaller at a greater demand,
 * because the sand carries water up only so fast, and smaller at a very small one on open sand,
 * because water falls away meanwhile.
 *
 * @param bed the sand, its depth and what lies under it
 * @param ratesMmPerH demands, mm/h, above 0
 * @param longestH length of a run, hours; 120 when left out
 */
export function dryDownTable(
  bed: BedProfile,
  {
    ratesMmPerH = DRY_DOWN_RATES_MM_PER_H,
    longestH = 120,
  }: { ratesMmPerH?: readonly number[]; longestH?: number } = {},
): DryDownRow[] {
  const full = fullColumn(bed);
  const limit = dryLimitFromDrained(drainedColumn(full));
  return ratesMmPerH.map((demandMmPerH) => {
    const spell = { hours: longestH, waterMmPerH: 0, demandMmPerH };
    const dry = runUntilDry(copyColumn(full), [spell], { limit });
    return {
      demandMmPerH,
      hours: dry?.hours ?? null,
      capacityMm: dry?.evaporatedMm ?? null,
      event: dry?.event ?? null,
    };
  });
}

/** A bed's capacity if its sand's curve were this steep. */
interface CapacityAtN {
  n: number;
  alphaPerCm: number;
  /** Null when the bed is not dry within 120 h. */
  capacityMm: number | null;
}

/**
 * How far the capacity hangs on the exponent n that a report without a release curve leaves open:
 * the same bed with other exponents, alpha moved so that the water at 30 cm stays as reported.
 *
 * @param bed the bed with its sand
 * @param range the exponents to try, above 1, and the demand, mm/h
 */
export function capacityOverN(
  bed: BedProfile,
  { ns, demandMmPerH }: { ns: readonly number[]; demandMmPerH: number },
): CapacityAtN[] {
  return ns.map((n) => {
    const sand = withExponent(bed.sand, n);
    const [row] = dryDownTable({ ...bed, sand }, { ratesMmPerH: [demandMmPerH] });
    return { n, alphaPerCm: sand.alphaPerCm, capacityMm: row?.capacityMm ?? null };
  });
}
