import { type Command, Option } from 'commander';
import { makePlan } from '../../planning/make-plan.ts';
import type { Lift } from '../../planning/open-holds.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import type { ConfigOption } from './config-option.ts';
import type { Shell } from './shell.ts';
import { withSite } from './site-session.ts';
import { tellPlan } from './tell-plan.ts';

interface PlanOptions extends ConfigOption {
  lift?: true | string[];
  who: string;
}

/** `dewbeat plan`: makes a fresh plan of today from now on, held. */
export function addPlanCommand(program: Command, shell: Shell): void {
  program
    .command('plan')
    .description(whatItDoes('plan'))
    // The name that `dewbeat release` had before.
    .addOption(new Option('--lift [beds...]', say('plan.lift')).hideHelp())
    .option('--who <name>', say('option.who'), '')
    .addHelpText('after', helpAfter('plan'))
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<PlanOptions>();
      await withSite(options, shell, async (session) => {
        const { db, config, weather } = session;
        const stored = await makePlan(
          { db, config, weather, nowMs: shell.nowMs() },
          { cause: 'person', who: options.who, lift: liftOf(options.lift) },
        );
        tellPlan({ session, options, shell }, stored);
      });
    });
}

function liftOf(option: true | string[] | undefined): Lift {
  if (option === undefined) return 'none';
  return option === true ? 'all' : option;
}
