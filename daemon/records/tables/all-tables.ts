import { correctionsTable, meterTable } from './checks.ts';
import { dryingTable, eventsTable, handTable, looksTable } from './happenings.ts';
import type { RecordTable } from './record-table.ts';
import { runsTable } from './runs-table.ts';
import type { TableContext } from './table-context.ts';
import { waterByBed, waterByBedAndDay } from './water-by-bed.ts';
import { waterByDay } from './water-by-day.ts';
import { waterByStation } from './water-by-station.ts';
import { weatherByDay } from './weather-by-day.ts';

/** Every table of a record, in the order in which a reader wants them. */
export function allTables(context: TableContext): RecordTable[] {
  return [
    waterByBed(context),
    waterByDay(context),
    weatherByDay(context),
    dryingTable(context),
    looksTable(context),
    eventsTable(context),
    waterByStation(context),
    handTable(context),
    meterTable(context),
    correctionsTable(context),
    waterByBedAndDay(context),
    runsTable(context),
  ];
}
