import type { FieldReport } from '../../adapters/contract.ts';
import type { Db } from './database.ts';
import { inTransaction } from './in-transaction.ts';
import { addReceipt } from './receipts.ts';
import { addStep, DAEMON } from './steps.ts';

type RanReport = Extract<FieldReport, { kind: 'ran' }>;

/** A report and when it came. */
export interface ComeReport {
  report: FieldReport;
  atMs: number;
}

/**
 * Remembers what came back from the field, and puts a line into the log. The same run told again,
 * as after a restart or by a broker that repeats itself, is taken once.
 */
export function addFieldReport(db: Db, report: FieldReport, atMs: number): void {
  addFieldReports(db, [{ report, atMs }]);
}

/** The same for many at once: one write to the disk for all of them, or none is taken. */
export function addFieldReports(db: Db, come: readonly ComeReport[]): void {
  inTransaction(db, () => {
    const known = db.prepare('SELECT 1 FROM field_report WHERE ran_key = ?');
    const add = db.prepare(
      'INSERT INTO field_report (at_ms, output, report, ran_key) VALUES (?, ?, ?, ?)',
    );
    for (const { report, atMs } of come) {
      if (report.kind === 'receipt') {
        addReceipt(db, report, atMs);
        continue;
      }
      const ranKey = keyOf(report);
      if (known.get(ranKey) !== undefined) continue;
      add.run(atMs, report.output, JSON.stringify(report), ranKey);
      const what = `${report.output}: station ${report.stationId} ran ${report.runS} s`;
      addStep(db, { atMs, kind: 'field', who: DAEMON, what });
    }
  });
}

function keyOf({ output, stationId, startMs, runS, flowLPerMin }: RanReport): string {
  return JSON.stringify([output, stationId, startMs, runS, flowLPerMin]);
}

/** What was read of the reports of one open database. */
interface ReadReports {
  fromMs: number;
  lastId: number;
  come: ComeReport[];
}

const readBefore = new WeakMap<Db, ReadReports>();
/** Held no longer than this behind what is asked for now. */
const HELD_MS = 31 * 24 * 3_600_000;
/** A span of seasons is read, answered and let go. */
const MOST_HELD = 100_000;

/**
 * What came back from the field from an instant on, oldest first. Reports are only ever added, so
 * only those are read that came since the last time: who asks each minute asks in vain mostly.
 */
export function fieldReportsSince(db: Db, fromMs: number): FieldReport[] {
  const before = readBefore.get(db);
  const held =
    before !== undefined && before.fromMs <= fromMs ? before : { fromMs, lastId: 0, come: [] };
  const rows = db
    .prepare(
      `SELECT report_id AS id, at_ms AS atMs, report FROM field_report
       WHERE report_id > ? AND at_ms >= ? ORDER BY report_id`,
    )
    .all(held.lastId, held.fromMs) as { id: number; atMs: number; report: string }[];
  for (const { id, atMs, report } of rows) {
    held.come.push({ atMs, report: JSON.parse(report) as FieldReport });
    held.lastId = id;
  }
  const found = held.come.flatMap(({ atMs, report }) => (atMs >= fromMs ? report : []));
  if (held.come.length > MOST_HELD || fromMs - held.fromMs > HELD_MS) readBefore.delete(db);
  else readBefore.set(db, held);
  return found;
}
