import { because, measured, minutes, plain, type RecordTable } from './record-table.ts';
import { rateEstimate, siteTime, type TableContext } from './table-context.ts';

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
