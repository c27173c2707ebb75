import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { onTestFinished } from 'vitest';
import { planDigest, planDocument } from '../adapters/plan-document.ts';
import type { DayPlan } from '../calc/schedule/day-plan.ts';
import { type Db, openDatabase } from '../daemon/site/store/database.ts';
import { addPlan, type PlanCause, planById, type StoredPlan } from '../daemon/site/store/plans.ts';
import { siteClock } from '../daemon/site/time/site-clock.ts';

/** A folder that goes when the test ends. */
export function scratchFolder(): string {
  const folder = mkdtempSync(join(tmpdir(), 'dewbeat-test-'));
  onTestFinished(() => rmSync(folder, { recursive: true, force: true }));
  return folder;
}

/** A fresh database in a scratch folder, closed when the test ends. */
export function scratchDatabase(): Db {
  const folder = scratchFolder();
  const db = openDatabase(folder);
  onTestFinished(() => {
    if (db.open) db.close();
  });
  return db;
}

/** Remembers a plan as the planning room would. */
export function rememberPlan(
  db: Db,
  plan: DayPlan,
  rest: { cause?: PlanCause; lifts?: number[]; lastHoldId?: number } = {},
): StoredPlan {
  const clock = siteClock(plan.madeFor?.zone ?? 'Etc/GMT+7');
  const planId = addPlan(db, {
    cause: rest.cause ?? 'person',
    digest: planDigest(planDocument(plan, clock)),
    plan,
    lifts: rest.lifts ?? [],
    lastHoldId: rest.lastHoldId ?? 0,
  });
  const stored = planById(db, planId);
  if (stored === null) throw new Error('the plan just remembered is gone');
  return stored;
}
