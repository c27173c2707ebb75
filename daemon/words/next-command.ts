import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { cautionsFor } from '../site/gate/valid-confirm.ts';
import type { StoredPlan } from '../site/store/plans.ts';
import { cautionTexts } from './confirm-words.ts';
import type { Say } from './language.ts';

/** The exact command that confirms a plan, ready to copy. */
export function confirmCommand(stored: StoredPlan, configPart: string, say: Say): string {
  const { plan, digest } = stored;
  const who = say('confirm_command.who');
  const cautions = cautionsFor(plan)
    .map(({ code }) => code)
    .join(' ');
  return `npx dewbeat confirm${configPart} --revision ${plan.revision} --digest ${digest.slice(0, 8)} --who "${who}" --caution ${cautions}`;
}

/** What a person must have looked at before giving that command, one line each. */
export function cautionLines(plan: Pick<DayPlan, 'weather'>, say: Say): string[] {
  return cautionTexts(plan, say).map(({ code, text }) => `  ${code}: ${text}`);
}
