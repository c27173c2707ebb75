import type { RateBasis } from '../../../../calc/schedule/site.ts';
import type { Estimate } from '../../../words/estimate-words.ts';
import { stageWords } from '../../../words/plan-words.ts';
import type { BedDay } from '../site-record.ts';
import { type WaterSums, waterEstimate, waterSums } from '../water-sums.ts';
import {
  type Cell,
  type Column,
  column,
  fileColumn,
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
  const { record, measures, nameOf, say } = context;
  const { depth } = measures;
  const bedIds = [...new Set(record.bedDays.map((one) => one.bedId))];
  return {
    file: 'water-by-bed.csv',
    title: say('reports.water_by_bed'),
    about: say('reports.water_by_bed.about'),
    columns: [
      column(say, 'bed', 'bed'),
      column(say, 'name', 'name'),
      column(say, 'stages', 'stages'),
      column(say, 'loss', 'loss', depth.unit),
      column(say, 'planned, gross', 'planned', depth.unit),
      ...waterColumns(context),
      column(say, 'water of the loss', 'share_of_loss', '%'),
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
        {
          code: stages.map((stage) => stage.replaceAll('_', ' ')).join(', '),
          words: stages.map((stage) => stageWords(stage, say)).join(', '),
        },
        measured(lossMm, depth, lossEstimate(days)),
        measured(
          totalOf(days, (one) => one.plannedMm),
          depth,
        ),
        ...cells,
        plain(share, 0, [{ code: 'loss_of_model' }]),
      ];
    }),
  };
}

/** One row a bed and day: only as a file. */
export function waterByBedAndDay(context: TableContext): RecordTable {
  const { record, measures, clock, say } = context;
  const { depth } = measures;
  const dayOf = new Map(record.days.map((day) => [day.siteDay, day]));
  return {
    file: 'water-by-bed-and-day.csv',
    title: say('reports.water_by_bed_and_day'),
    about: say('reports.water_by_bed_and_day.about'),
    fileOnly: true,
    columns: [
      fileColumn('site day', clock.zone),
      fileColumn('bed'),
      fileColumn('stage'),
      fileColumn('loss', depth.unit),
      fileColumn('planned, gross', depth.unit),
      ...waterColumns(context),
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

function lossEstimate(days: readonly BedDay[]): Estimate[] {
  const planned = days.filter((one) => one.lossFrom === 'plan').length;
  return [
    { code: 'model' },
    ...(planned === 0 ? [] : [{ code: 'days_as_planned', planned, days: days.length } as const]),
  ];
}

function totalOf(days: readonly BedDay[], pick: (one: BedDay) => number | null): number | null {
  return days.every((one) => pick(one) === null)
    ? null
    : days.reduce((sum, one) => sum + (pick(one) ?? 0), 0);
}

/** One row a day over the whole site: depths as the mean over the beds' area. */
export function waterByDay(context: TableContext): RecordTable {
  const { record, measures, clock, stationsIn, say } = context;
  const { depth } = measures;
  const areaOf = new Map(record.site.beds.map((bed) => [bed.id, bed.areaM2]));
  const allM2 = record.site.beds.reduce((sum, bed) => sum + bed.areaM2, 0);
  const shareOf = (bedId: string) => (allM2 > 0 ? (areaOf.get(bedId) ?? 0) / allM2 : 0);
  return {
    file: 'water-by-day.csv',
    title: say('reports.water_by_day'),
    about: say('reports.water_by_day.about'),
    columns: [
      column(say, 'site day', 'day', clock.zone),
      column(say, 'plans', 'plans', 'count'),
      column(say, 'confirms', 'confirms', 'count'),
      column(say, 'cycles left out', 'left_out', 'count'),
      column(say, 'cycles moved', 'moved', 'count'),
      column(say, 'cycles added', 'added', 'count'),
      column(say, 'loss', 'loss', depth.unit),
      column(say, 'planned, gross', 'planned', depth.unit),
      ...waterColumns(context),
    ],
    rows: record.days.map(({ siteDay, startMs, endMs, plans, confirms, followed }) => {
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
        plain(followed.leftOut),
        plain(followed.moved),
        plain(followed.added),
        measured(
          weighted((one) => one.lossMm),
          depth,
          [{ code: 'model' }, ...(isPlanned ? [{ code: 'as_planned' } as const] : [])],
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

/** How a station's rate is known, as files have it. */
const RATE_BASIS: Readonly<Record<RateBasis, string>> = {
  nozzle: 'from nozzle flow and spacing',
  catch_cans: 'catch-can test',
  stated: 'stated',
};

/** One row a station over all the days: depths over what the station waters. */
export function waterByStation(context: TableContext): RecordTable {
  const { record, measures, say } = context;
  const { rate, flow } = measures;
  const ids = [
    ...new Set([
      ...record.site.stations.map((one) => one.id),
      ...record.runs.map((run) => run.stationId),
    ]),
  ];
  return {
    file: 'water-by-station.csv',
    title: say('reports.water_by_station'),
    about: say('reports.water_by_station.about'),
    columns: [
      column(say, 'station', 'station'),
      column(say, 'bed', 'bed'),
      column(say, 'rate', 'rate', rate.unit),
      column(say, 'rate known from', 'known_from'),
      column(say, 'flow', 'flow', flow.unit),
      ...waterColumns(context),
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
          isMeasured ? [] : [{ code: 'station_not_measured' }],
        ),
        station === undefined
          ? ''
          : {
              code: RATE_BASIS[station.rateBasis],
              words: say(`reports.rate_basis.${station.rateBasis}`),
            },
        measured(station?.flowLPerMin ?? null, flow, [{ code: 'of_config' }]),
        ...waterCells(sums, context, rateEstimate(record.site, runs)),
      ];
    }),
  };
}

/** One row a run: from the confirm to the water. */
export function runsTable(context: TableContext): RecordTable {
  const { record, measures, clock, say } = context;
  const { depth, volume, flow } = measures;
  return {
    file: 'runs.csv',
    title: say('reports.runs'),
    about: say('reports.runs.about'),
    fileOnly: true,
    columns: [
      fileColumn('start', clock.zone),
      fileColumn('bed'),
      fileColumn('station'),
      fileColumn('cycle', 'number in its plan'),
      fileColumn('state'),
      fileColumn('sent'),
      fileColumn('accepted'),
      fileColumn('confirmed', 'min'),
      fileColumn('reported', 'min'),
      fileColumn('reported flow', flow.unit),
      fileColumn('before a correction', 'min'),
      fileColumn('counts', 'min'),
      fileColumn('known from'),
      fileColumn('gross', depth.unit),
      fileColumn('net', depth.unit),
      fileColumn('drained', depth.unit),
      fileColumn('volume', volume.unit),
    ],
    rows: record.runs.map((run) => {
      const assumed: Estimate[] = run.basis === 'assumed' ? [{ code: 'assumed' }] : [];
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
        measured(run.grossMm, depth, [...assumed, ...rate]),
        measured(run.netMm, depth, [...assumed, ...rate, { code: 'drift' }]),
        measured(run.drainedMm, depth, [{ code: 'drained' }]),
        measured(run.volumeL, volume, [...assumed, { code: 'flow_times_time' }]),
      ];
    }),
  };
}

/** Columns that tell of water, the same wherever it is summed. */
function waterColumns({ measures, say }: TableContext): Column[] {
  const { depth, volume } = measures;
  return [
    column(say, 'runs', 'runs', 'count'),
    column(say, 'confirmed', 'confirmed', 'min'),
    column(say, 'sent', 'sent', 'min'),
    column(say, 'accepted', 'accepted', 'min'),
    column(say, 'reported as run', 'reported_run', 'min'),
    column(say, 'assumed to have run', 'assumed_run', 'min'),
    column(say, 'put right by a person', 'corrected_run', 'min'),
    column(say, 'confirmed and not run', 'not_run', 'min'),
    column(say, 'gross', 'gross', depth.unit),
    column(say, 'net', 'net', depth.unit),
    column(say, 'drained', 'drained', depth.unit),
    column(say, 'by hand', 'by_hand', depth.unit),
    column(say, 'sprinklers', 'sprinklers', volume.unit),
    column(say, 'by hand', 'by_hand', volume.unit),
  ];
}

/** The cells below them. */
function waterCells(
  sums: WaterSums,
  { measures }: TableContext,
  rate: readonly Estimate[],
): Cell[] {
  const { depth, volume } = measures;
  const assumed = waterEstimate(sums);
  return [
    plain(sums.runs),
    minutes(sums.confirmedS),
    minutes(sums.sentS),
    minutes(sums.acceptedS),
    minutes(sums.reportedS),
    minutes(sums.assumedS, sums.assumedS > 0 ? [{ code: 'assumed' }] : []),
    minutes(sums.correctedS),
    minutes(sums.notRunS),
    measured(sums.grossMm, depth, [...assumed, ...rate]),
    measured(sums.netMm, depth, [...assumed, ...rate, { code: 'drift' }]),
    measured(sums.drainedMm, depth, [{ code: 'drained' }]),
    measured(sums.handMm, depth),
    measured(sums.volumeL, volume, [...assumed, { code: 'flow_times_time' }]),
    measured(sums.handL, volume, sums.handL > 0 ? [{ code: 'hand_volume' }] : []),
  ];
}
