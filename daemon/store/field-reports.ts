import type { FieldReport } from '../../adapters/contract.ts';
import type { Db } from './database.ts';
import { inTransaction } from './in-transaction.ts';
import { addStep, DAEMON } from './steps.ts';

/** Remembers what came back from the field, and puts a line into the log. */
export function addFieldReport(db: Db, report: FieldReport, atMs: number): void {
  inTransaction(db, () => {
    db.prepare('INSERT INTO field_report (at_ms, output, report) VALUES (?, ?, ?)').run(
      atMs,
      report.output,
      JSON.stringify(report),
    );
    const what =
      report.kind === 'receipt'
        ? `receipt for ${report.orderId}: ${report.answer}, ${report.detail}`
        : `station ${report.stationId} ran ${report.runS} s`;
    addStep(db, { atMs, kind: 'field', who: DAEMON, what: `${report.output}: ${what}` });
  });
}

/** What came back from the field from an instant on, oldest first. */
export function fieldReportsSince(db: Db, fromMs: number): FieldReport[] {
  const rows = db
    .prepare('SELECT report FROM field_report WHERE at_ms >= ? ORDER BY report_id')
    .all(fromMs) as { report: string }[];
  return rows.map((row) => JSON.parse(row.report) as FieldReport);
}
