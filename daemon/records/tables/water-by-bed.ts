import type { BedDay } from '../site-record.ts';
import { waterSums } from '../water-sums.ts';
import { because, measured, plain, type RecordTable } from './record-table.ts';
import { rateEstimate, type TableContext } from './table-context.ts';
import { waterCells, waterHeadings } from './water-columns.ts';

/** One row a bed over all the days. */
export function waterByBed(context: TableContext): RecordTable {
  const { record, measures, nameOf } = context;
  const { depth } = measures;
  const bedIds = [...new Set(record.bedDays.map((one) => one.bedId))];
  return {
    file: 'water-by-bed.csv',
    title: 'Water by bed',
    about:
      'Depths are means over the bed. "Of the loss" is net water of sprinklers and by hand against the loss; rain is not in it.',
    columns: [
      'bed',
      'name',
      'stages',
      `loss (${depth.unit})`,
      `planned, gross (${depth.unit})`,
      ...waterHeadings(context),
      'water of the loss (%)',
    ],
    rows: bedIds.map((bedId) => {
      const days = record.bedDays.filter((one) => one.bedId === bedId);
      const { cells, netMm } = bedCells(context, bedId, () => true);
      const lossMm = totalOf(days, (one) => one.lossMm);
      const share = lossMm === null || lossMm <= 0 ? null : (100 * netMm) / lossMm;
      const stages = [...new Set(days.flatMap(({ stage }) => stage ?? []))];
      return [
        bedId,
        nameOf(bedId),
        stages.map((stage) => stage.replaceAll('_', ' ')).join(', '),
        measured(lossMm, depth, lossEstimate(days)),
        measured(
          totalOf(days, (one) => one.plannedMm),
          depth,
        ),
        ...cells,
        plain(share, 0, 'loss is of the model'),
      ];
    }),
  };
}

/** One row a bed and day: only as a file. */
export function waterByBedAndDay(context: TableContext): RecordTable {
  const { record, measures, zone } = context;
  const { depth } = measures;
  const dayOf = new Map(record.days.map((day) => [day.siteDay, day]));
  return {
    file: 'water-by-bed-and-day.csv',
    title: 'Water by bed and day',
    about: 'One row for each bed and day.',
    fileOnly: true,
    columns: [
      `site day ${zone}`,
      'bed',
      'stage',
      `loss (${depth.unit})`,
      `planned, gross (${depth.unit})`,
      ...waterHeadings(context),
    ],
    rows: record.bedDays.map((one) => {
      const day = dayOf.get(one.siteDay);
      const within = (atMs: number) => day !== undefined && atMs >= day.startMs && atMs < day.endMs;
      return [
        one.siteDay,
        one.bedId,
        (one.stage ?? '').replaceAll('_', ' '),
        measured(one.lossMm, depth, lossEstimate([one])),
        measured(one.plannedMm, depth),
        ...bedCells(context, one.bedId, within).cells,
      ];
    }),
  };
}

function bedCells(context: TableContext, bedId: string, within: (atMs: number) => boolean) {
  const { record, stationsIn } = context;
  const of = (one: { bedId: string; startMs: number }) =>
    one.bedId === bedId && within(one.startMs);
  const runs = record.runs.filter(of);
  const sums = waterSums(runs, record.hand.filter(of), {
    ofRun: () => 1 / stationsIn(bedId),
    ofHand: () => 1,
  });
  const rate = rateEstimate(record.site, runs);
  return { cells: waterCells(sums, context, rate), netMm: sums.netMm + sums.handMm };
}

function lossEstimate(days: readonly BedDay[]): string | null {
  const planned = days.filter((one) => one.lossFrom === 'plan').length;
  const why = planned === 0 ? null : `${planned} of ${days.length} days as planned in the morning`;
  return because('model', why);
}

function totalOf(days: readonly BedDay[], pick: (one: BedDay) => number | null): number | null {
  return days.every((one) => pick(one) === null)
    ? null
    : days.reduce((sum, one) => sum + (pick(one) ?? 0), 0);
}
