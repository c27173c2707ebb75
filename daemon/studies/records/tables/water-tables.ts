import type { BedDay } from '../site-record.ts';
import { type WaterSums, waterEstimate, waterSums } from '../water-sums.ts';
import {
  because,
  type Cell,
  measured,
  minutes,
  plain,
  type RecordTable,
  rateEstimate,
  siteTime,
  type TableContext,
} from './record-table.ts';

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

const BASIS: Readonly<Record<string, string>> = {
  nozzle: 'from nozzle flow and spacing',
  catch_cans: 'catch-can test',
  stated: 'stated',
};

/** One row a station over all the days: depths over what the station waters. */
export function waterByStation(context: TableContext): RecordTable {
  const { record, measures } = context;
  const { rate, flow } = measures;
  const ids = [
    ...new Set([
      ...record.site.stations.map((one) => one.id),
      ...record.runs.map((run) => run.stationId),
    ]),
  ];
  return {
    file: 'water-by-station.csv',
    title: 'Water by station',
    about:
      'Depths are over the area that the station waters. Rate and flow are those of the config as it is today.',
    columns: [
      'station',
      'bed',
      `rate (${rate.unit})`,
      'rate known from',
      `flow (${flow.unit})`,
      ...waterHeadings(context),
    ],
    rows: ids.map((id) => {
      const station = record.site.stations.find((one) => one.id === id);
      const runs = record.runs.filter((run) => run.stationId === id);
      const hand = record.hand.filter((one) => one.stationId === id);
      const sums = waterSums(runs, hand, {
        ofRun: () => 1,
        ofHand: (one) => context.stationsIn(one.bedId),
      });
      const isMeasured = station?.rateMeasured ?? false;
      return [
        id,
        station?.bedId ?? runs[0]?.bedId ?? '',
        measured(
          station?.precipitationRateMmPerH ?? null,
          rate,
          isMeasured ? null : 'not measured on the site',
        ),
        BASIS[station?.rateBasis ?? ''] ?? '',
        measured(station?.flowLPerMin ?? null, flow, 'of the config'),
        ...waterCells(sums, context, rateEstimate(record.site, runs)),
      ];
    }),
  };
}

/** One row a run: from the confirm to the water. */
export function runsTable(context: TableContext): RecordTable {
  const { record, measures, zone, clock } = context;
  const { depth, volume, flow } = measures;
  return {
    file: 'runs.csv',
    title: 'Every run',
    about: 'One row for each run, with how far it came and what counts of it.',
    fileOnly: true,
    columns: [
      `start ${zone}`,
      'bed',
      'station',
      'cycle (number in its plan)',
      'state',
      'sent',
      'accepted',
      'confirmed (min)',
      'reported (min)',
      `reported flow (${flow.unit})`,
      'before a correction (min)',
      'counts (min)',
      'known from',
      `gross (${depth.unit})`,
      `net (${depth.unit})`,
      `drained (${depth.unit})`,
      `volume (${volume.unit})`,
    ],
    rows: record.runs.map((run) => {
      const assumed = run.basis === 'assumed' ? 'assumed' : null;
      const rate = rateEstimate(record.site, [run]);
      return [
        siteTime(clock, run.startMs),
        run.bedId,
        run.stationId,
        plain(run.cycle),
        run.state,
        run.isSent ? 'yes' : 'no',
        run.isAccepted ? 'yes' : 'no',
        minutes(run.confirmedS),
        run.reportedS === null ? plain(null) : minutes(run.reportedS),
        measured(run.reportedFlowLPerMin, flow),
        run.corrected === null ? plain(null) : minutes(run.corrected.beforeS),
        minutes(run.countedS, assumed),
        run.basis === 'none' ? 'did not run' : run.basis,
        measured(run.grossMm, depth, because(assumed, rate)),
        measured(run.netMm, depth, because(assumed, rate, 'drift worked out')),
        measured(run.drainedMm, depth, 'expected by the plan'),
        measured(run.volumeL, volume, because(assumed, 'flow of the config times time')),
      ];
    }),
  };
}

/** Headings of the columns that tell of water, the same wherever it is summed. */
function waterHeadings({ measures }: TableContext): string[] {
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
function waterCells(sums: WaterSums, { measures }: TableContext, rate: string | null): Cell[] {
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
