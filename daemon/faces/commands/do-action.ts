import type { Command } from 'commander';
import { type Action, keepAction, planAfter } from '../../actions/action.ts';
import { dayAsItIs, preview } from '../../actions/preview.ts';
import { sayAtCommandLine as say } from '../../words/command-line.ts';
import { sayMessage } from '../../words/language.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import { sayTold } from '../../words/told.ts';
import type { ConfigOption } from './config-option.ts';
import { asOption, wrongOption } from './given-options.ts';
import { previewText } from './preview-text.ts';
import type { Shell } from './shell.ts';
import type { SiteSession } from './site-session.ts';
import { repeatConfig } from './store-session.ts';
import { tellChangedPlan } from './tell-plan.ts';

/** The options of every command that does an action. */
export interface ActionOptions extends ConfigOption {
  /** False with `--no-plan`; left out where an action is nothing but a plan. */
  plan?: boolean;
  preview?: true;
}

/** Adds the options that every command that does an action takes. */
export function withActionOptions(command: Command, isPlanItself: boolean): Command {
  command.option('--preview', say('action.preview'));
  return isPlanItself ? command : command.option('--no-plan', say('action.no_plan'));
}

/**
 * Does what a person asked for at the command line, and makes the held plan that follows from it; or
 * shows what would come of it.
 *
 * @param asking.alsoSay More to say right after the action is kept, before a plan is made.
 * @throws CommandFailure, exit code 2, that names the option at fault.
 */
export async function doAction(
  session: SiteSession,
  shell: Shell,
  asking: {
    options: ActionOptions;
    nowMs: number;
    /** Whether a plan follows from it. */
    isPlanned: boolean;
    actionOf: () => Action;
    alsoSay?: (action: Action) => readonly string[];
  },
): Promise<void> {
  const { options, nowMs, isPlanned, actionOf, alsoSay } = asking;
  const context = { db: session.db, config: session.config, weather: session.weather, nowMs };
  if (options.preview === true && options.plan === false) {
    throw wrongOption('no-plan', 'refused.beside', { other: '--preview' });
  }
  const action = asOption(actionOf);
  const reader = readerOf(session.config);
  if (options.preview === true) {
    const seen = await preview(context, action, await dayAsItIs(context), reader);
    shell.out(previewText(seen, { clock: session.config.clock, width: shell.columns?.() }));
    return;
  }
  for (const told of keepAction(context, action)) shell.out(sayTold(told, reader));
  for (const line of alsoSay?.(action) ?? []) shell.out(line);
  if (!isPlanned) return;
  const planCommand = `npx dewbeat plan${repeatConfig(options)}`;
  if (options.plan === false) {
    shell.out(say('plan.next', { command: planCommand }));
    return;
  }
  const { before, stored, noPlan } = await planAfter(context, action);
  if (stored !== null) return tellChangedPlan({ session, options, shell }, { before, stored });
  // It ends well all the same: whoever repeats a command that failed would log the water twice.
  shell.err(
    say('plan.not_made', { why: sayMessage(noPlan ?? '', sayTo(reader)), command: planCommand }),
  );
}
