import { waterSums } from '../water-sums.ts';
import { measured, type RecordTable } from './record-table.ts';
import { rateEstimate, type TableContext } from './table-context.ts';
import { waterCells, waterHeadings } from './water-columns.ts';

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
