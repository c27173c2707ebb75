import { type WaterSums, waterEstimate } from '../water-sums.ts';
import { because, type Cell, measured, minutes, plain } from './record-table.ts';
import type { TableContext } from './table-context.ts';

/** Headings of the columns that tell of water, the same wherever it is summed. */
export function waterHeadings({ measures }: TableContext): string[] {
  const { depth, volume } = measures;
  return [
    'runs (count)',
    'confirmed (min)',
    'sent (min)',
    'accepted (min)',
    'reported as run (min)',
    'assumed to have run (min)',
    'put right by a person (min)',
    'confirmed and not run (min)',
    `gross (${depth.unit})`,
    `net (${depth.unit})`,
    `drained (${depth.unit})`,
    `by hand (${depth.unit})`,
    `sprinklers (${volume.unit})`,
    `by hand (${volume.unit})`,
  ];
}

/** The cells below them. */
export function waterCells(
  sums: WaterSums,
  { measures }: TableContext,
  rate: string | null,
): Cell[] {
  const { depth, volume } = measures;
  const assumed = waterEstimate(sums);
  const depths = because(assumed, rate);
  return [
    plain(sums.runs),
    minutes(sums.confirmedS),
    minutes(sums.sentS),
    minutes(sums.acceptedS),
    minutes(sums.reportedS),
    minutes(sums.assumedS, sums.assumedS > 0 ? 'assumed' : null),
    minutes(sums.correctedS),
    minutes(sums.notRunS),
    measured(sums.grossMm, depth, depths),
    measured(sums.netMm, depth, because(assumed, rate, 'drift worked out')),
    measured(sums.drainedMm, depth, 'expected by the plans'),
    measured(sums.handMm, depth),
    measured(sums.volumeL, volume, because(assumed, 'flow of the config times time')),
    measured(sums.handL, volume, sums.handL > 0 ? 'by depth and area, or flow and time' : null),
  ];
}
