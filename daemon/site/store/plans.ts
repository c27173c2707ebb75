import type { Confirmation } from '../../../adapters/contract.ts';
import type { SiteDay } from '../../../adapters/site-clock.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { Db } from './database.ts';
import { leewayGiven } from './leeway-uses.ts';
import { StoreFault } from './store-faults.ts';

/** Why a plan was made. */
export type PlanCause = 'morning' | 'person' | 'weather' | 'restart' | 'hold_over';

/** A plan as it is remembered. */
export interface StoredPlan {
  planId: number;
  cause: PlanCause;
  digest: string;
  plan: DayPlan;
  /** Holds that a confirm of this plan lifts. */
  lifts: number[];
  /** The newest hold when the plan was made, 0 for none: a later one outdates the plan. */
  lastHoldId: number;
}

interface PlanRow {
  planId: number;
  cause: PlanCause;
  digest: string;
  lastHoldId: number;
}

const PLAN_COLUMNS = 'plan_id AS planId, cause, digest, last_hold_id AS lastHoldId';

/** Adds a plan; its revision must be the next of its site day. */
export function addPlan(db: Db, stored: Omit<StoredPlan, 'planId'>): number {
  const { cause, digest, plan, lifts, lastHoldId } = stored;
  const { lastInsertRowid } = db
    .prepare(
      `INSERT INTO plan (site_day, revision, cause, made_at_ms, digest, plan, last_hold_id)
       VALUES (?, ?, ?, ?, ?, ?, ?)`,
    )
    .run(
      plan.siteDay,
      plan.revision,
      cause,
      plan.madeAtMs,
      digest,
      JSON.stringify(plan),
      lastHoldId,
    );
  const planId = Number(lastInsertRowid);
  const lift = db.prepare('INSERT INTO plan_lifts (plan_id, hold_id) VALUES (?, ?)');
  for (const holdId of lifts) lift.run(planId, holdId);
  return planId;
}

/** The newest plan of a site day, or null. */
export function newestPlanOf(db: Db, siteDay: string): StoredPlan | null {
  return readPlan(
    db,
    db
      .prepare(`SELECT ${PLAN_COLUMNS} FROM plan WHERE site_day = ? ORDER BY revision DESC LIMIT 1`)
      .get(siteDay),
  );
}

/** Every plan of a site day, oldest first. */
export function plansOf(db: Db, siteDay: string): StoredPlan[] {
  const rows = db
    .prepare(`SELECT ${PLAN_COLUMNS} FROM plan WHERE site_day = ? ORDER BY revision`)
    .all(siteDay);
  return rows.flatMap((row) => readPlan(db, row) ?? []);
}

/** The first site day from one on that has a plan, or null. */
export function firstPlanDay(db: Db, fromDay: SiteDay): SiteDay | null {
  const row = db
    .prepare('SELECT min(site_day) AS siteDay FROM plan WHERE site_day >= ?')
    .get(fromDay) as { siteDay: SiteDay | null };
  return row.siteDay;
}

/** The plan made last, of whichever site day, or null. */
export function newestPlan(db: Db): StoredPlan | null {
  return readPlan(
    db,
    db.prepare(`SELECT ${PLAN_COLUMNS} FROM plan ORDER BY plan_id DESC LIMIT 1`).get(),
  );
}

/** One revision of a site day, or null. */
export function planOfRevision(db: Db, siteDay: string, revision: number): StoredPlan | null {
  return readPlan(
    db,
    db
      .prepare(`SELECT ${PLAN_COLUMNS} FROM plan WHERE site_day = ? AND revision = ?`)
      .get(siteDay, revision),
  );
}

/** The plan made last up to an instant, or null. */
export function newestPlanBy(db: Db, madeByMs: number): StoredPlan | null {
  return readPlan(
    db,
    db
      .prepare(
        `SELECT ${PLAN_COLUMNS} FROM plan WHERE made_at_ms <= ? ORDER BY plan_id DESC LIMIT 1`,
      )
      .get(madeByMs),
  );
}

/** The first plan made from an instant on, or null. */
export function oldestPlanSince(db: Db, madeFromMs: number): StoredPlan | null {
  return readPlan(
    db,
    db
      .prepare(`SELECT ${PLAN_COLUMNS} FROM plan WHERE made_at_ms >= ? ORDER BY plan_id LIMIT 1`)
      .get(madeFromMs),
  );
}

export function planById(db: Db, planId: number): StoredPlan | null {
  return readPlan(db, db.prepare(`SELECT ${PLAN_COLUMNS} FROM plan WHERE plan_id = ?`).get(planId));
}

/** Whether a site day has had its morning plan. */
export function hasMorningPlan(db: Db, siteDay: string): boolean {
  return (
    db.prepare(`SELECT 1 FROM plan WHERE site_day = ? AND cause = 'morning'`).get(siteDay) !==
    undefined
  );
}

function readPlan(db: Db, row: unknown): StoredPlan | null {
  if (row === undefined) return null;
  const found = row as PlanRow;
  const lifts = db
    .prepare('SELECT hold_id AS holdId FROM plan_lifts WHERE plan_id = ? ORDER BY hold_id')
    .all(found.planId) as { holdId: number }[];
  return { ...found, plan: contentOf(db, found.planId), lifts: lifts.map((one) => one.holdId) };
}

/**
 * Plans that are looked at again and again are made out once: a big site's is a quarter of a
 * megabyte. The row's text is read all the same and held against the one that was made out: rows
 * never change by this program, and a row that another has changed must not hide behind a copy.
 */
const MOST_KEPT = 8;
const kept = new WeakMap<Db, Map<number, { text: string; plan: DayPlan }>>();

/**
 * A plan's content: the same object as long as the row has the same text.
 * @throws StoreFault when the row holds no plan at all.
 */
function contentOf(db: Db, planId: number): DayPlan {
  const plans = kept.get(db) ?? new Map<number, { text: string; plan: DayPlan }>();
  kept.set(db, plans);
  const { text } = db.prepare('SELECT plan AS text FROM plan WHERE plan_id = ?').get(planId) as {
    text: string;
  };
  const known = plans.get(planId);
  if (known?.text === text) return known.plan;
  const plan = planIn(text, planId);
  plans.delete(planId);
  plans.set(planId, { text, plan });
  const [oldest] = plans.keys();
  if (plans.size > MOST_KEPT && oldest !== undefined) plans.delete(oldest);
  return plan;
}

function planIn(text: string, planId: number): DayPlan {
  try {
    const plan = JSON.parse(text);
    if (typeof plan === 'object' && plan !== null) return plan as DayPlan;
  } catch {
    // Said below in the program's own words.
  }
  throw new StoreFault(
    `plan ${planId}: its row in the database holds no plan (got ${text.slice(0, 20)}...); restore a copy that \`dewbeat backup\` made`,
  );
}

/** A confirm as it is remembered, with the plan it confirmed. */
export interface StoredConfirmation extends Confirmation {
  confirmationId: number;
  stored: StoredPlan;
  /** Beds within whose leeway the day may be followed; null: as laid. */
  leewayBedIds?: string[] | null;
}

interface ConfirmationRow {
  confirmationId: number;
  planId: number;
  atMs: number;
  who: string;
  cautions: string;
}

const CONFIRMATION_COLUMNS =
  'confirmation_id AS confirmationId, plan_id AS planId, at_ms AS atMs, who, cautions';

export function addConfirmation(db: Db, confirmation: Confirmation & { planId: number }): number {
  const { lastInsertRowid } = db
    .prepare('INSERT INTO confirmation (plan_id, at_ms, who, cautions) VALUES (?, ?, ?, ?)')
    .run(
      confirmation.planId,
      confirmation.atMs,
      confirmation.who,
      JSON.stringify(confirmation.cautions),
    );
  return Number(lastInsertRowid);
}

/** The confirm given last, or null. */
export function newestConfirmation(db: Db): StoredConfirmation | null {
  return readConfirmation(
    db,
    db
      .prepare(
        `SELECT ${CONFIRMATION_COLUMNS} FROM confirmation ORDER BY confirmation_id DESC LIMIT 1`,
      )
      .get(),
  );
}

export function confirmationById(db: Db, confirmationId: number): StoredConfirmation | null {
  return readConfirmation(
    db,
    db
      .prepare(`SELECT ${CONFIRMATION_COLUMNS} FROM confirmation WHERE confirmation_id = ?`)
      .get(confirmationId),
  );
}

export function confirmationOf(db: Db, planId: number): StoredConfirmation | null {
  return readConfirmation(
    db,
    db.prepare(`SELECT ${CONFIRMATION_COLUMNS} FROM confirmation WHERE plan_id = ?`).get(planId),
  );
}

/** Confirms given from an instant on, oldest first, and the one in force at that instant. */
export function confirmationsSince(db: Db, fromMs: number): StoredConfirmation[] {
  const rows = db
    .prepare(
      `SELECT ${CONFIRMATION_COLUMNS} FROM confirmation WHERE confirmation_id >= coalesce(
         (SELECT max(confirmation_id) FROM confirmation WHERE at_ms < ?), 0)
       ORDER BY confirmation_id`,
    )
    .all(fromMs);
  return rows.flatMap((row) => readConfirmation(db, row) ?? []);
}

function readConfirmation(db: Db, row: unknown): StoredConfirmation | null {
  if (row === undefined) return null;
  const { confirmationId, planId, atMs, who, cautions } = row as ConfirmationRow;
  const stored = planById(db, planId);
  if (stored === null) return null;
  return {
    confirmationId,
    atMs,
    who,
    cautions: JSON.parse(cautions) as string[],
    stored,
    leewayBedIds: leewayGiven(db, confirmationId),
  };
}
