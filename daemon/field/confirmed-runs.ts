import type { FieldReport, RunEvent } from '../../adapters/contract.ts';
import { missedRuns, standingRuns } from '../../adapters/standing-runs.ts';
import { confirmationsSince, type StoredConfirmation } from '../store/confirmations.ts';
import type { Db } from '../store/database.ts';
import { fieldReportsSince } from '../store/field-reports.ts';
import { holdsAgainst } from '../store/holds.ts';
import { type OrderAttempt, orderAttempts } from '../store/owed.ts';
import { runEvents } from '../store/run-events.ts';
import { type OrderFacts, runKey } from './order-state.ts';
import type { ConfirmedRuns } from './reconcile.ts';

type Receipt = Extract<FieldReport, { kind: 'receipt' }>;

/** The confirmed plans from an instant on, with what was done about each. Reads, decides nothing. */
export function confirmedRunsSince(db: Db, fromMs: number): ConfirmedRuns[] {
  const confirmations = confirmationsSince(db, fromMs);
  const first = confirmations[0];
  const receipts =
    first === undefined
      ? []
      : fieldReportsSince(db, first.atMs).filter((report) => report.kind === 'receipt');
  return confirmations.map((confirmation, index): ConfirmedRuns => {
    const { siteDay, revision } = confirmation.stored.plan;
    // What was confirmed, for the account of it: nothing of this goes out to anything.
    const { atMs, stored } = confirmation;
    const whole = { plan: stored.plan, confirmation: { atMs }, heldBedIds: [] };
    return {
      siteDay,
      revision,
      runs: standingRuns(whole),
      missed: missedRuns(whole),
      replacedMs: confirmations[index + 1]?.atMs ?? Number.POSITIVE_INFINITY,
      holds: holdsAgainst(db, confirmation.confirmationId),
      orders: ordersOf(db, confirmation, receipts),
    };
  });
}

function ordersOf(
  db: Db,
  { confirmationId }: StoredConfirmation,
  receipts: readonly Receipt[],
): OrderFacts[] {
  const attempts = orderAttempts(db, confirmationId);
  return [...new Set(attempts.map((one) => one.output))].map((output) => ({
    ...orderFacts(
      output,
      attempts.filter((one) => one.output === output),
      receipts.filter((one) => one.output === output),
    ),
    runs: eventsOf(db, output),
  }));
}

/**
 * What came of a confirm at one output. An order that passes on a hold carries what still stands,
 * so either kind brings the plan there. Pure.
 */
export function orderFacts(
  output: string,
  attempts: readonly OrderAttempt[],
  receipts: readonly Receipt[],
): OrderFacts {
  const tried = attempts.filter(
    ({ answer }) => answer !== null && answer !== 'lapsed' && answer !== 'superseded',
  );
  const firstOf = (answers: readonly string[]) =>
    tried.find(({ answer }) => answer !== null && answers.includes(answer))?.atMs ?? null;
  const ids = new Set(attempts.map((one) => one.orderId));
  const receipt = receipts.findLast((one) => ids.has(one.orderId));
  return {
    output,
    sentMs: firstOf(['accepted']),
    triedMs: tried[0]?.atMs ?? null,
    rejectedMs: firstOf(['rejected']),
    receipt: receipt === undefined ? null : { answer: receipt.answer, atMs: receipt.atMs },
  };
}

/** The last word on each run of an output that sends run by run. */
function eventsOf(db: Db, output: string): Map<string, RunEvent['what']> {
  return new Map(
    runEvents(db, output).map(({ runId, what }) => {
      const at = runId.lastIndexOf('@');
      return [runKey(runId.slice(0, at), Date.parse(runId.slice(at + 1))), what];
    }),
  );
}
