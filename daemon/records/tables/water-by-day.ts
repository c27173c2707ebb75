import { waterSums } from '../water-sums.ts';
import { because, measured, plain, type RecordTable } from './record-table.ts';
import { rateEstimate, type TableContext } from './table-context.ts';
import { waterCells, waterHeadings } from './water-columns.ts';

/** One row a day over the whole site: depths as the mean over the beds' area. */
export function waterByDay(context: TableContext): RecordTable {
  const { record, measures, zone, stationsIn } = context;
  const { depth } = measures;
  const areaOf = new Map(record.site.beds.map((bed) => [bed.id, bed.areaM2]));
  const allM2 = record.site.beds.reduce((sum, bed) => sum + bed.areaM2, 0);
  const shareOf = (bedId: string) => (allM2 > 0 ? (areaOf.get(bedId) ?? 0) / allM2 : 0);
  return {
    file: 'water-by-day.csv',
    title: 'Water by day, whole site',
    about:
      'Depths are means over the area of all beds. "Planned" is the first plan of the day; "confirmed" is what persons let out over the day, revisions among it.',
    columns: [
      `site day ${zone}`,
      'plans (count)',
      'confirms (count)',
      `loss (${depth.unit})`,
      `planned, gross (${depth.unit})`,
      ...waterHeadings(context),
    ],
    rows: record.days.map(({ siteDay, startMs, endMs, plans, confirms }) => {
      const bedDays = record.bedDays.filter((one) => one.siteDay === siteDay);
      const weighted = (pick: (one: (typeof bedDays)[number]) => number | null) =>
        bedDays.every((one) => pick(one) === null)
          ? null
          : bedDays.reduce((sum, one) => sum + (pick(one) ?? 0) * shareOf(one.bedId), 0);
      const within = ({ startMs: atMs }: { startMs: number }) => atMs >= startMs && atMs < endMs;
      const runs = record.runs.filter(within);
      const sums = waterSums(runs, record.hand.filter(within), {
        ofRun: (run) => shareOf(run.bedId) / stationsIn(run.bedId),
        ofHand: (one) => shareOf(one.bedId),
      });
      const isPlanned = bedDays.some((one) => one.lossFrom === 'plan');
      return [
        siteDay,
        plain(plans),
        plain(confirms),
        measured(
          weighted((one) => one.lossMm),
          depth,
          because('model', isPlanned ? 'as planned in the morning' : null),
        ),
        measured(
          weighted((one) => one.plannedMm),
          depth,
        ),
        ...waterCells(sums, context, rateEstimate(record.site, runs)),
      ];
    }),
  };
}
