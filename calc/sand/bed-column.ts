import { growingGrid } from './column-grid.ts';
import { tabulated } from './hydraulic-table.ts';
import { type VanGenuchten, vanGenuchtenMualem } from './retention.ts';
import { copyColumn, createColumn, runColumn } from './richards-column.ts';
import type { Column } from './richards-step.ts';

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
