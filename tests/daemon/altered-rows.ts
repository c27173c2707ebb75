import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { Db } from '../../daemon/site/store/database.ts';

/** What somebody does who opens the database with another program and knows of its triggers. */
export function alterPlan(db: Db, planId: number, change: (plan: DayPlan) => DayPlan): void {
  db.exec('DROP TRIGGER IF EXISTS plan_no_update');
  const row = db.prepare('SELECT plan FROM plan WHERE plan_id = ?').get(planId) as { plan: string };
  const text = JSON.stringify(change(JSON.parse(row.plan) as DayPlan));
  db.prepare('UPDATE plan SET plan = ? WHERE plan_id = ?').run(text, planId);
}

/** Every run ten times as long. */
export function tenfold(plan: DayPlan): DayPlan {
  return { ...plan, runs: plan.runs.map((run) => ({ ...run, runS: run.runS * 10 })) };
}

/** A confirm that no gate has seen. */
export function insertConfirm(
  db: Db,
  confirm: { planId: number; atMs: number; who: string; cautions: readonly string[] },
): void {
  db.prepare('INSERT INTO confirmation (plan_id, at_ms, who, cautions) VALUES (?, ?, ?, ?)').run(
    confirm.planId,
    confirm.atMs,
    confirm.who,
    JSON.stringify(confirm.cautions),
  );
}
