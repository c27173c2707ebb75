import { planStanding } from '../../site/gate/gate.ts';
import { newestPlan } from '../../site/store/plans.ts';
import { cautionLines, confirmCommand } from '../../words/next-command.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import type { ConfigOption } from './open-config.ts';
import { planTable } from './plan-table.ts';
import type { Shell } from './shell.ts';
import { repeatConfig, type SiteSession } from './site-session.ts';

/** Said while the first plan takes its time: not made yet is not the same as made tomorrow. */
export const FIRST_PLAN_COMES =
  'The first plan is being worked out, and is shown here once it is made. Nothing is sent meanwhile.';

/** What a person who has started the daemon sees: the newest plan, and what to do next. */
export function showFirst(
  session: SiteSession,
  options: ConfigOption,
  shell: Shell,
  page: string | null,
): void {
  const { config, db } = session;
  const stored = newestPlan(db);
  if (stored === null) {
    shell.out(
      'There is no plan yet: one is made in the morning, or now with "dewbeat plan". Where one could not be made, the log says why.',
    );
  } else {
    const standing = planStanding(db, stored);
    const say = sayTo(readerOf(config));
    shell.out('');
    shell.out(planTable({ stored, standing, ...config, width: shell.columns?.() }));
    shell.out('');
    if (standing.kind === 'held') {
      shell.out(`The plan is held in ${config.dataFolder}. Look at the turf first:`);
      shell.out(cautionLines(stored.plan, say).join('\n'));
      shell.out('then confirm it, from this folder, in another terminal:');
      shell.out(`  ${confirmCommand(stored, repeatConfig(options), say)}`);
    }
  }
  if (page !== null) shell.out(`The page: ${page}`);
  shell.out('The daemon stays up; Ctrl-C stops it.');
}
