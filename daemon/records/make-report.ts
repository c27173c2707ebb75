import { columnMeasures } from '../../adapters/column-measures.ts';
import type { SiteDay } from '../../adapters/site-clock.ts';
import type { PlanningContext } from '../planning/planning-context.ts';
import { gatherRecord } from './gather.ts';
import { reportHtml } from './paper/report-html.ts';
import type { SiteRecord } from './site-record.ts';
import { tableCsv } from './table-csv.ts';
import { allTables } from './tables/all-tables.ts';
import { tableContext } from './tables/table-context.ts';

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

/** Gathers the days and writes them out in the person's units; changes nothing. */
export async function makeReport(
  context: PlanningContext,
  asked: { from: SiteDay; to: SiteDay },
): Promise<Report> {
  const { clock, units } = context.config;
  const record = await gatherRecord(context, asked);
  const told = tableContext(record, { clock, measures: columnMeasures(units) });
  const tables = allTables(told);
  return {
    record,
    page: reportHtml(told, tables),
    tables: tables.map((table) => ({
      file: table.file,
      title: table.title,
      content: tableCsv(table),
    })),
  };
}
