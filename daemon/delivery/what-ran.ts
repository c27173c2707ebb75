import type { FieldReport, RunEvent } from '../../adapters/contract.ts';
import { missedRuns, standingRuns } from '../../adapters/plan-document.ts';
import type { SiteClock, SiteDay } from '../../adapters/site-clock.ts';
import { changeNumberOf } from '../site/gate/order-id.ts';
import type { Db } from '../site/store/database.ts';
import { fieldReportsSince, runEvents } from '../site/store/field-reports.ts';
import { handWaterSince } from '../site/store/hand-records.ts';
import { holdsAgainst } from '../site/store/holds-and-keep-offs.ts';
import { leewayUses } from '../site/store/leeway-uses.ts';
import { type OrderAttempt, orderAttempts } from '../site/store/outbox.ts';
import { confirmationsSince } from '../site/store/plans.ts';
import {
  type FieldRule,
  type OrderFacts,
  type RanReport,
  type RunState,
  runKey,
} from '../site/store/run-state.ts';
import { type ConfirmedRuns, type Reconciled, reconcile } from './reconcile.ts';

/** Reports are read from this long before: whether a receiver reports at all shows there. */
const LOOK_BACK_MS = 7 * 24 * 3_600_000;

/**
 * Each confirmed run of a site day with its state, in order of time: what ran under earlier
 * revisions of the day, and what the plan in force still has.
 */
export function runStates(
  db: Db,
  asked: { siteDay: SiteDay; clock: SiteClock; nowMs: number; rule: FieldRule },
): RunState[] {
  const { siteDay, clock, nowMs, rule } = asked;
  const fromMs = clock.startOf(siteDay);
  const toMs = clock.startOf(clock.addDays(siteDay, 1));
  return whatRan(db, { fromMs, nowMs, rule }).runs.filter(
    ({ run }) => run.startMs >= fromMs && run.startMs < toMs,
  );
}

/** What became of every run that ends after an instant, with what was reported and not asked for. */
export function whatRan(
  db: Db,
  asked: { fromMs: number; nowMs: number; rule: FieldRule },
): Reconciled {
  const { fromMs, nowMs, rule } = asked;
  const reports = fieldReportsSince(db, fromMs - LOOK_BACK_MS).filter(
    (report): report is RanReport => report.kind === 'ran',
  );
  const { runs, strays } = reconcile({
    // One confirm earlier, so that what belongs to the plan before is not taken for unasked.
    confirmed: confirmedRunsSince(db, fromMs - rule.lateMs),
    reports,
    byHand: handWaterSince(db, fromMs - rule.lateMs),
    nowMs,
    rule,
  });
  const endsAfter = (startMs: number, runS: number) => startMs + runS * 1000 > fromMs;
  return {
    runs: runs.filter(({ run }) => endsAfter(run.startMs, run.runS)),
    strays: strays.filter((stray) => stray.startMs >= fromMs),
  };
}

type Receipt = Extract<FieldReport, { kind: 'receipt' }>;

/** The confirmed plans from an instant on, with what was done about each. Reads, decides nothing. */
function confirmedRunsSince(db: Db, fromMs: number): ConfirmedRuns[] {
  const confirmations = confirmationsSince(db, fromMs);
  const first = confirmations[0];
  const receipts =
    first === undefined
      ? []
      : fieldReportsSince(db, first.atMs).filter((report) => report.kind === 'receipt');
  return confirmations.flatMap((confirmation, index): ConfirmedRuns[] => {
    const { confirmationId, atMs, stored } = confirmation;
    const { siteDay, revision } = stored.plan;
    // What was confirmed, for the account of it: nothing of this goes out to anything.
    const whole = { plan: stored.plan, confirmation: { atMs }, heldBedIds: [] };
    const replacedMs = confirmations[index + 1]?.atMs ?? Number.POSITIVE_INFINITY;
    // A change within the leeway takes the place of what stood, as a revision does.
    const changes = leewayUses(db, confirmationId);
    const attempts = orderAttempts(db, confirmationId);
    return [undefined, ...changes].map(
      (change, at): ConfirmedRuns => ({
        siteDay,
        revision,
        runs:
          change === undefined
            ? standingRuns(whole)
            : standingRuns({ ...whole, change }).filter(
                ({ startMs }) =>
                  startMs >= change.atMs &&
                  startMs < (changes[at]?.atMs ?? Number.POSITIVE_INFINITY),
              ),
        missed: change === undefined ? missedRuns(whole) : [],
        replacedMs: Math.min(changes[at]?.atMs ?? replacedMs, replacedMs),
        holds: holdsAgainst(db, confirmationId),
        orders: ordersOf(
          db,
          attempts.filter(({ orderId }) => changeNumberOf(orderId) >= (change?.number ?? 0)),
          receipts,
        ),
      }),
    );
  });
}

function ordersOf(
  db: Db,
  attempts: readonly OrderAttempt[],
  receipts: readonly Receipt[],
): OrderFacts[] {
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
function orderFacts(
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
