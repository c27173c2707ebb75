import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { cautionsFor } from '../site/gate/valid-confirm.ts';
import type { StoredPlan } from '../site/store/plans.ts';

/** The exact command that confirms a plan, ready to copy. */
export function confirmCommand(stored: StoredPlan, configPart: string): string {
  const { plan, digest } = stored;
  const cautions = cautionsFor(plan)
    .map((caution) => caution.code)
    .join(' ');
  return `npx dewbeat confirm${configPart} --revision ${plan.revision} --digest ${digest.slice(0, 8)} --who "YOUR NAME" --caution ${cautions}`;
}

/** What a person must have looked at before giving that command, one line each. */
export function cautionLines(plan: Pick<DayPlan, 'weather'>): string[] {
  return cautionsFor(plan).map((caution) => `  ${caution.code}: ${caution.text}`);
}
