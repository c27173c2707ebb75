import type { StoredPlan } from '../../site/store/plans.ts';
import { changeLines } from '../../words/confirm-words.ts';
import { cautionLines, confirmCommand } from '../../words/next-command.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import type { ConfigOption } from './open-config.ts';
import { planTable } from './plan-table.ts';
import type { Shell } from './shell.ts';
import { repeatConfig, type SiteSession } from './site-session.ts';

/** Whom a plan is told, and how. */
export interface Telling {
  session: Pick<SiteSession, 'config'>;
  options: ConfigOption;
  shell: Shell;
}

/** A fresh plan, held: all of it, and the command that confirms exactly it. */
export function tellPlan({ session, options, shell }: Telling, stored: StoredPlan): void {
  const { clock, units } = session.config;
  const say = sayTo(readerOf(session.config));
  const standing = { kind: 'held', runs: stored.plan.runs } as const;
  shell.out(planTable({ stored, standing, clock, units, width: shell.columns?.() }));
  shell.out('\nRead it, look at the turf, then confirm:');
  shell.out(cautionLines(stored.plan, say).join('\n'));
  shell.out(`  ${confirmCommand(stored, repeatConfig(options), say)}`);
}

/** The same after a change: first what it changes against the plan before. */
export function tellChangedPlan(
  telling: Telling,
  plans: { before: StoredPlan | null; stored: StoredPlan },
): void {
  const { session, shell } = telling;
  const { before, stored } = plans;
  shell.out('');
  if (before === null) shell.out('There was no plan of today to compare with.');
  else {
    shell.out(`Against revision ${before.plan.revision}:`);
    const given = { fromMs: stored.plan.madeAtMs, reader: readerOf(session.config) };
    for (const line of changeLines(before.plan, stored.plan, given)) shell.out(`  ${line}`);
  }
  shell.out('');
  tellPlan(telling, stored);
}
