import { planStanding } from '../../site/gate/gate.ts';
import { newestPlan } from '../../site/store/plans.ts';
import { sayAtCommandLine as say } from '../../words/command-line.ts';
import { cautionLines, confirmCommand } from '../../words/next-command.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import type { ConfigOption } from './config-option.ts';
import { planTable } from './plan-table.ts';
import type { Shell } from './shell.ts';
import type { SiteSession } from './site-session.ts';
import { repeatConfig } from './store-session.ts';

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
    shell.out(say('run.no_plan'));
  } else {
    const standing = planStanding(db, stored);
    shell.out('');
    shell.out(planTable({ stored, standing, ...config, width: shell.columns?.() }));
    shell.out('');
    if (standing.kind === 'held') {
      const inPlan = sayTo(readerOf(config));
      shell.out(say('run.held', { folder: config.dataFolder }));
      shell.out(cautionLines(stored.plan, inPlan).join('\n'));
      shell.out(say('run.confirm'));
      shell.out(`  ${confirmCommand(stored, repeatConfig(options), inPlan)}`);
    }
  }
  if (page !== null) shell.out(say('run.page', { page }));
  shell.out(say('run.stays'));
}
