import { type ColumnMoment, runColumn, type Spell, storedMm } from './richards-column.ts';
import type { Column } from './richards-step.ts';
import { WET_SURFACE_FRACTION } from './seedbed-model.ts';

/** When a bed counts as dry: the first of the two events. */
export interface DryLimit {
  seedLayerMm: number;
  /** Mean water content of the seed layer below which it is dry. */
  waterFraction: number;
}

/** Part of the way from residual up to the drained water at which the seed layer counts as dry. */
export const KEPT_FRACTION = 0.5;

/** Which of the two events came first. */
export type DryEvent = 'seed_layer' | 'surface';

export interface DryMoment {
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
  const residual = drained.layers[0]?.soil.residualFraction ?? 0;
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
    const judged = spell.waterMmPerH === 0 && spell.demandMmPerH > 0.001;
    const begunH = hours;
    const flow = runColumn(column, { longestStepH: 0.03, ...spell }, (moment) => {
      const nowH = begunH + moment.elapsedH;
      evaporatedMm += moment.evaporationMmPerH * moment.stepH;
      if (!judged || nowH <= fromH) return false;
      const seedMm = storedMm(column, limit.seedLayerMm);
      const event = dryEventOf(moment, { limit, demandMmPerH: spell.demandMmPerH, seedMm });
      if (event === null) return false;
      dry = { hours: event === 'surface' ? nowH - moment.stepH / 2 : nowH, event, evaporatedMm };
      return true;
    });
    if (dry !== null) return dry;
    hours += flow.hours;
    watch?.(hours);
  }
  return null;
}
