import type { StoredPlan } from '../../site/store/plans.ts';
import { sayAtCommandLine as say } from '../../words/command-line.ts';
import { changeLines } from '../../words/confirm-words.ts';
import { cautionLines, confirmCommand } from '../../words/next-command.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import type { ConfigOption } from './config-option.ts';
import { planTable } from './plan-table.ts';
import type { Shell } from './shell.ts';
import type { SiteSession } from './site-session.ts';
import { repeatConfig } from './store-session.ts';

/** Whom a plan is told, and how. */
export interface Telling {
  session: Pick<SiteSession, 'config'>;
  options: ConfigOption;
  shell: Shell;
}

/** A fresh plan, held: all of it, and the command that confirms exactly it. */
export function tellPlan({ session, options, shell }: Telling, stored: StoredPlan): void {
  const { clock, units } = session.config;
  const standing = { kind: 'held', runs: stored.plan.runs } as const;
  shell.out(planTable({ stored, standing, clock, units, width: shell.columns?.() }));
  const inPlan = sayTo(readerOf(session.config));
  shell.out(`\n${say('plan.read')}`);
  shell.out(cautionLines(stored.plan, inPlan).join('\n'));
  shell.out(`  ${confirmCommand(stored, repeatConfig(options), inPlan)}`);
  if (stored.plan.leeway !== undefined) shell.out(`  ${say('plan.add_leeway')}`);
}

/** The same after a change: first what it changes against the plan before. */
export function tellChangedPlan(
  telling: Telling,
  plans: { before: StoredPlan | null; stored: StoredPlan },
): void {
  const { session, shell } = telling;
  const { before, stored } = plans;
  shell.out('');
  if (before === null) shell.out(say('plan.no_earlier'));
  else {
    shell.out(say('plan.against', { revision: before.plan.revision }));
    const given = { fromMs: stored.plan.madeAtMs, reader: readerOf(session.config) };
    for (const line of changeLines(before.plan, stored.plan, given)) shell.out(`  ${line}`);
  }
  shell.out('');
  tellPlan(telling, stored);
}
