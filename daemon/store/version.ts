import type { Db } from './database.ts';

/**
 * A text that changes with every row that a view may tell of or a plan rests on, whichever process
 * wrote it: every action of a person or of the daemon puts a row into one of these tables.
 */
export function storeVersion(db: Db): string {
  const row = db
    .prepare(
      `SELECT (SELECT coalesce(max(step_id), 0) FROM step) AS steps,
         (SELECT coalesce(max(attempt_id), 0) FROM attempt) AS attempts,
         (SELECT coalesce(max(plan_id), 0) FROM plan) AS plans,
         (SELECT coalesce(max(report_id), 0) FROM field_report) AS reports`,
    )
    .get() as { steps: number; attempts: number; plans: number; reports: number };
  return [row.steps, row.attempts, row.plans, row.reports].join('.');
}
