import type { Language } from '../../../adapters/contract.ts';
import { columnMeasures } from '../../../adapters/display-units.ts';
import type { SiteDay } from '../../../adapters/site-clock.ts';
import type { PlanningContext } from '../../planning/planning-context.ts';
import { readerOf } from '../../words/plan-words.ts';
import { reportHtml } from './paper/report-html.ts';
import { gatherRecord, type SiteRecord } from './site-record.ts';
import {
  correctionsTable,
  dryingTable,
  eventsTable,
  handTable,
  looksTable,
  meterTable,
  weatherByDay,
} from './tables/observation-tables.ts';
import {
  type RecordTable,
  type TableContext,
  tableContext,
  tableCsv,
} from './tables/record-table.ts';
import {
  runsTable,
  waterByBed,
  waterByBedAndDay,
  waterByDay,
  waterByStation,
} from './tables/water-tables.ts';

export interface ReportFile {
  file: string;
  title: string;
  content: string;
}

/** A report: its page, and its tables as CSV. */
export interface Report {
  record: SiteRecord;
  page: string;
  tables: ReportFile[];
}

/** Gathers the days and writes them out in the person's units and language; changes nothing. */
export async function makeReport(
  context: PlanningContext,
  asked: { from: SiteDay; to: SiteDay; language: Language },
): Promise<Report> {
  const { clock, units } = context.config;
  const reader = readerOf({ clock, units, language: asked.language });
  const record = await gatherRecord(context, asked, reader);
  const told = tableContext(record, { clock, measures: columnMeasures(units), reader });
  const tables = allTables(told);
  return {
    record,
    page: reportHtml(told, tables),
    tables: tables.map((table) => ({
      file: table.file,
      title: table.title,
      content: tableCsv(table, told.say),
    })),
  };
}

/** Every table of a record, in the order in which a reader wants them. */
function allTables(context: TableContext): RecordTable[] {
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
