import type { Answer, FieldReport } from '../../adapters/contract.ts';
import type { Db } from './database.ts';
import { addAttempt, type OrderState, orderStates } from './owed.ts';
import { addStep, DAEMON } from './steps.ts';

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
export function addReceipt(db: Db, report: ReceiptReport, atMs: number): void {
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
  addStep(db, {
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
