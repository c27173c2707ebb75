import type { ConfirmedPlan, DayChange } from '../../../adapters/contract.ts';
import { missedRuns, standingRuns } from '../../../adapters/plan-document.ts';
import type { SiteClock } from '../../../adapters/site-clock.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import { addAuditEntry } from '../store/audit-log.ts';
import { type Db, inTransaction } from '../store/database.ts';
import {
  addHold,
  addLift,
  type Hold,
  holdById,
  holdsAgainst,
  openHolds,
  personKeepOffs,
} from '../store/holds-and-keep-offs.ts';
import { addLeewayGiven, newestLeewayUse } from '../store/leeway-uses.ts';
import { addToOutbox, oweDelivery } from '../store/outbox.ts';
import {
  addConfirmation,
  confirmationById,
  confirmationOf,
  newestConfirmation,
  newestPlan,
  type StoredPlan,
} from '../store/plans.ts';
import { confirmedPlan, type Standing } from './confirmed-plan.ts';
import { type ConfirmRequest, type Guard, judgeConfirm, type Refusal } from './judge-confirm.ts';
import { orderIdOf } from './order-id.ts';
import { type SiteInUse, siteUsedBy } from './site-changes.ts';
import { isConfirmLogged, leewaySaid } from './valid-confirm.ts';

/** What the gate needs to know besides the store. */
interface GateContext {
  db: Db;
  clock: SiteClock;
  /** Names of the outputs that a confirmed plan goes to. */
  outputs: readonly string[];
  nowMs: number;
}

/** What a confirm is judged by besides. */
export interface ConfirmContext extends GateContext {
  /** The site by the config in use. */
  site: SiteInUse;
  /** Puts a refusal into words for the log; left out: its code stands there. */
  sayRefusal?(refusal: Refusal): string;
  /** All of them when left out, which only tests do not. */
  guards?: readonly Guard[] | undefined;
}

type ConfirmResult =
  | { ok: true; orderId: string; plan: DayPlan; who: string; missed: Run[] }
  | { ok: false; refusal: Refusal };

/**
 * The gate: lets the newest plan out when a person confirms exactly it.
 *
 * Judgement, confirm, lifted holds, owed deliveries and log line are one transaction: after a power
 * cut either all of it happened or nothing. A refusal changes nothing but the log.
 */
export function confirmPlan(context: ConfirmContext, request: ConfirmRequest): ConfirmResult {
  const { db, outputs, nowMs, site } = context;
  return inTransaction(db, (): ConfirmResult => {
    const newest = newestPlan(db);
    const inForce = newestConfirmation(db);
    const judgement = judgeConfirm(
      {
        newest,
        confirmed: newest === null ? null : confirmationOf(db, newest.planId),
        inForce,
        change: inForce === null ? null : newestLeewayUse(db, inForce.confirmationId),
        openHolds: openHolds(db),
        keepOffs: personKeepOffs(db),
        site,
      },
      { request, nowMs },
      context.guards,
    );
    if (!judgement.ok) {
      addAuditEntry(db, {
        atMs: nowMs,
        kind: 'confirm_refused',
        who: request.who,
        revision: request.revision,
        digest: request.digest,
        what: context.sayRefusal?.(judgement.refusal) ?? judgement.refusal.code,
      });
      return judgement;
    }
    const { stored } = judgement;
    const who = request.who.trim();
    const given = { atMs: nowMs, who, cautions: [...request.cautions] };
    const confirmationId = addConfirmation(db, { planId: stored.planId, ...given });
    for (const holdId of stored.lifts) addLift(db, { holdId, confirmationId });
    const leewayBedIds = request.leewayBedIds ?? null;
    if (leewayBedIds !== null) addLeewayGiven(db, { confirmationId, bedIds: leewayBedIds });
    const missed = missedRuns({ plan: stored.plan, confirmation: given });
    const { siteDay, revision, endMs } = stored.plan;
    const orderId = orderIdOf(stored);
    oweDelivery(db, outputs, { orderId, confirmationId, atMs: nowMs, validUntilMs: endMs });
    const about = { atMs: nowMs, who, siteDay, revision, digest: stored.digest };
    addAuditEntry(db, {
      ...about,
      kind: 'confirmed',
      what: `${stored.plan.runs.length - missed.length} runs, ${missed.length} missed; cautions ${request.cautions.join(', ')}`,
    });
    if (leewayBedIds !== null) {
      addAuditEntry(db, { ...about, kind: 'leeway_given', what: leewaySaid(leewayBedIds) });
    }
    for (const holdId of stored.lifts) {
      addAuditEntry(db, { ...about, kind: 'hold_lifted', what: `stop ${holdId}` });
    }
    return { ok: true, orderId, plan: stored.plan, who, missed };
  });
}

/** Stops water for everything or for some beds. Always allowed; needs no confirm. */
export function holdWater(
  context: GateContext,
  asked: { who: string; why: string; beds: 'all' | string[]; untilMs: number | null },
): { holdId: number; orderId: string } {
  const { db, clock, outputs, nowMs } = context;
  return inTransaction(db, () => {
    const inForce = newestConfirmation(db);
    const inForceId = inForce?.confirmationId ?? null;
    const holdId = addHold(db, { ...asked, atMs: nowMs, inForceId });
    const orderId = `hold-${holdId}-${nowMs}`;
    for (const output of outputs) {
      addToOutbox(db, {
        orderId,
        output,
        kind: 'withdraw',
        confirmationId: inForceId,
        holdId,
        atMs: nowMs,
        validUntilMs: Math.max(inForce?.stored.plan.endMs ?? 0, nowMs + WITHDRAWAL_VALID_MS),
      });
    }
    const beds = asked.beds === 'all' ? 'everything' : asked.beds.join(', ');
    const until = asked.untilMs === null ? '' : ` until ${clock.isoOf(asked.untilMs)}`;
    addAuditEntry(db, {
      atMs: nowMs,
      kind: 'held',
      who: asked.who,
      siteDay: clock.siteDayOf(nowMs),
      what: `${beds}${until}: ${asked.why}`,
    });
    return { holdId, orderId };
  });
}

/**
 * What stands of a confirm: after the holds put on since, and only while its rows are as the gate
 * wrote them and the site is as it was; or why nothing of it may run.
 *
 * @param upToChange The last of its changes that counts: an order brings the one that it was made for,
 *   so that the same order never says two things.
 */
export function standingOf(
  db: Db,
  confirmationId: number,
  upToChange = Number.POSITIVE_INFINITY,
): Standing {
  const confirmation = confirmationById(db, confirmationId);
  if (confirmation === null) {
    return { confirmed: null, because: 'store_altered', fault: { code: 'confirm_gone' } };
  }
  return confirmedPlan(confirmation, {
    holds: holdsAgainst(db, confirmationId),
    isLogged: isConfirmLogged(db, confirmation),
    change: newestLeewayUse(db, confirmationId, upToChange),
    site: siteUsedBy(db),
  });
}

/** The part of it that may run, or null when nothing may; as it stood with a change, or stands now. */
export function standingPlan(
  db: Db,
  confirmationId: number,
  upToChange?: number,
): ConfirmedPlan | null {
  return standingOf(db, confirmationId, upToChange).confirmed;
}

/** Why nothing of a confirm may run; null: something of it may. */
export function whyNothingStands(
  db: Db,
  confirmationId: number | null,
): Extract<Standing, { confirmed: null }> | null {
  if (confirmationId === null) {
    return { confirmed: null, because: 'store_altered', fault: { code: 'no_confirm' } };
  }
  const standing = standingOf(db, confirmationId);
  return standing.confirmed === null ? standing : null;
}

/** The plan in force: the last one confirmed, less what is held; null when nothing may run. */
export function planInForce(db: Db, nowMs: number): ConfirmedPlan | null {
  const newest = newestConfirmation(db);
  if (newest === null || nowMs >= newest.stored.plan.endMs) return null;
  return standingPlan(db, newest.confirmationId);
}

/** The hold behind an owed withdrawal. */
export function holdBehind(db: Db, holdId: number | null): Hold | null {
  return holdId === null ? null : holdById(db, holdId);
}

/** A withdrawal is worth sending even when the plan it stops has hardly an hour left. */
const WITHDRAWAL_VALID_MS = 24 * 3_600_000;

/** Where a plan stands with people, and what of it may run. */
export type PlanStanding =
  | { kind: 'held'; runs: Run[] }
  | {
      kind: 'confirmed';
      who: string;
      atMs: number;
      heldBedIds: string[];
      runs: Run[];
      missed: Run[];
      /** Beds within whose leeway the day is followed; null: as laid. */
      leewayBedIds: readonly string[] | null;
      /** The day's cycles as they stand now; null: as laid. */
      change: DayChange | null;
    }
  | { kind: 'stopped'; who: string; atMs: number }
  | { kind: 'replaced'; who: string; atMs: number };

/** Reads a plan's standing from the store. */
export function planStanding(db: Db, stored: StoredPlan): PlanStanding {
  const confirmation = confirmationOf(db, stored.planId);
  if (confirmation === null) return { kind: 'held', runs: stored.plan.runs };
  const { who, atMs, confirmationId } = confirmation;
  if (newestConfirmation(db)?.confirmationId !== confirmationId) {
    return { kind: 'replaced', who, atMs };
  }
  const standing = standingPlan(db, confirmationId);
  if (standing === null) return { kind: 'stopped', who, atMs };
  return {
    kind: 'confirmed',
    who,
    atMs,
    heldBedIds: [...standing.heldBedIds],
    runs: standingRuns(standing),
    missed: missedRuns(standing),
    leewayBedIds: confirmation.leewayBedIds ?? null,
    change: standing.change ?? null,
  };
}
