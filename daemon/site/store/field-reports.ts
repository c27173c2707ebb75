import type { Answer, FieldReport, RunEvent } from '../../../adapters/contract.ts';
import { addAuditEntry, DAEMON } from './audit-log.ts';
import { type Db, inTransaction } from './database.ts';
import { addAttempt, type OrderState, orderStates } from './outbox.ts';

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
      addAuditEntry(db, { atMs, kind: 'field', who: DAEMON, what });
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

type ReceiptReport = Extract<FieldReport, { kind: 'receipt' }>;

/** What the receiver behind an output says of an order: another thing than what the output said. */
export interface Receipt {
  output: string;
  answer: Answer['kind'];
  detail: string;
  atMs: number;
}

/**
 * Remembers what a receiver says of an order, however late. That the medium has an order and that
 * the receiver takes it are two things: both are kept, and only a refusal of what the medium had
 * accepted changes how the order stands. Nothing that comes in ends the repeats of a hold. Call it
 * inside a transaction.
 */
function addReceipt(db: Db, report: ReceiptReport, atMs: number): void {
  const { output, orderId, answer, detail } = report;
  const order = orderStates(db, orderId).find((state) => state.output === output);
  db.prepare('INSERT INTO field_report (at_ms, output, report, order_id) VALUES (?, ?, ?, ?)').run(
    atMs,
    output,
    JSON.stringify(report),
    orderId,
  );
  const refused = refusesWhatWasTaken(order, answer);
  if (refused) {
    const why = `the receiver refused it (got ${detail || 'no reason'})`;
    addAttempt(db, { orderId, output, atMs, answer: 'rejected', detail: why });
  }
  const about = order === undefined ? ', which was never sent there' : '';
  addAuditEntry(db, {
    atMs,
    kind: refused ? 'send_failed' : 'field',
    who: DAEMON,
    what: `${output}: receipt for ${orderId}${about}: ${answer} by the receiver, ${detail}`,
  });
}

/** The last word of each receiver on an order. */
export function receiptsOf(db: Db, orderId: string): Receipt[] {
  const rows = db
    .prepare(
      `SELECT output, at_ms AS atMs, report FROM field_report
       WHERE report_id IN
         (SELECT max(report_id) FROM field_report WHERE order_id = ? GROUP BY output)
       ORDER BY output`,
    )
    .all(orderId) as { output: string; atMs: number; report: string }[];
  return rows.map(({ output, atMs, report }) => {
    const { answer, detail } = JSON.parse(report) as ReceiptReport;
    return { output, answer, detail, atMs };
  });
}

function refusesWhatWasTaken(order: OrderState | undefined, answer: Answer['kind']): boolean {
  return order?.lastAnswer === 'accepted' && answer === 'rejected';
}

/** Whether an output sent a run, or missed it, at any time before. */
export function isRunClosed(db: Db, output: string, runId: string): boolean {
  const row = db
    .prepare(
      `SELECT 1 FROM run_event WHERE output = ? AND run_id = ? AND what IN ('claimed', 'missed')`,
    )
    .get(output, runId);
  return row !== undefined;
}

/**
 * Remembers what has become of a run; what did not go well is a line of the log too.
 * @throws when a run is claimed or missed a second time
 */
export function addRunEvent(db: Db, event: RunEvent & { output: string; atMs: number }): void {
  const { atMs, output, runId, orderId, what, detail } = event;
  inTransaction(db, () => {
    db.prepare(
      'INSERT INTO run_event (at_ms, output, run_id, order_id, what, detail) VALUES (?, ?, ?, ?, ?, ?)',
    ).run(atMs, output, runId, orderId, what, detail);
    if (what === 'claimed' || what === 'accepted') return;
    addAuditEntry(db, {
      atMs,
      kind: 'send_failed',
      who: DAEMON,
      what: `run ${runId} of ${orderId} to ${output}: ${what}, ${detail}`,
    });
  });
}

/** What has become of the runs of an output, oldest first. */
export function runEvents(db: Db, output: string): (RunEvent & { atMs: number })[] {
  return db
    .prepare(
      `SELECT at_ms AS atMs, run_id AS runId, order_id AS orderId, what, detail
       FROM run_event WHERE output = ? ORDER BY run_event_id`,
    )
    .all(output) as (RunEvent & { atMs: number })[];
}
