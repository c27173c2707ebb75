import type { Command } from 'commander';
import { makePlan } from '../../planning/make-plan.ts';
import type { Lift } from '../../planning/open-holds.ts';
import type { ConfigOption } from './open-config.ts';
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
    .description('make a fresh plan of today, held until a person confirms it')
    .option('--lift [beds...]', 'water beds again that are on hold (all, or the beds named)')
    .option('--who <name>', 'who asks for it', '')
    .addHelpText(
      'after',
      '\nIt makes up for nothing that is past: it waters from now on.\n\nExamples:\n  $ dewbeat plan\n  $ dewbeat plan --lift green-3 --who "A. Keeper"',
    )
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
