import type { FieldReport } from '../../adapters/contract.ts';
import type { Db } from './database.ts';
import { inTransaction } from './in-transaction.ts';
import { addReceipt } from './receipts.ts';
import { addStep, DAEMON } from './steps.ts';

/**
 * Remembers what came back from the field, and puts a line into the log. The same run told again,
 * as after a restart or by a broker that repeats itself, is taken once.
 */
export function addFieldReport(db: Db, report: FieldReport, atMs: number): void {
  if (report.kind === 'receipt') addReceipt(db, report, atMs);
  else addRan(db, report, atMs);
}

function addRan(db: Db, report: Extract<FieldReport, { kind: 'ran' }>, atMs: number): void {
  const ranKey = JSON.stringify([
    report.output,
    report.stationId,
    report.startMs,
    report.runS,
    report.flowLPerMin,
  ]);
  if (db.prepare('SELECT 1 FROM field_report WHERE ran_key = ?').get(ranKey) !== undefined) return;
  inTransaction(db, () => {
    db.prepare('INSERT INTO field_report (at_ms, output, report, ran_key) VALUES (?, ?, ?, ?)').run(
      atMs,
      report.output,
      JSON.stringify(report),
      ranKey,
    );
    const what = `${report.output}: station ${report.stationId} ran ${report.runS} s`;
    addStep(db, { atMs, kind: 'field', who: DAEMON, what });
  });
}

/** What came back from the field from an instant on, oldest first. */
export function fieldReportsSince(db: Db, fromMs: number): FieldReport[] {
  const rows = db
    .prepare('SELECT report FROM field_report WHERE at_ms >= ? ORDER BY report_id')
    .all(fromMs) as { report: string }[];
  return rows.map((row) => JSON.parse(row.report) as FieldReport);
}
