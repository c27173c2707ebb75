import type { Command } from 'commander';
import type { Lift } from '../planning/hold-keep-offs.ts';
import { makePlan } from '../planning/make-plan.ts';
import { cautionLines, confirmCommand } from '../words/next-command.ts';
import type { ConfigOption } from './open-config.ts';
import { planTable } from './plan-table.ts';
import type { Shell } from './shell.ts';
import { repeatConfig, withSite } from './site-session.ts';

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
    .addHelpText('after', '\nExample:\n  $ dewbeat plan --lift green-3')
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<PlanOptions>();
      await withSite(options, shell, async ({ db, config, weather }) => {
        const stored = await makePlan(
          { db, config, weather, nowMs: shell.nowMs() },
          { cause: 'person', who: options.who, lift: liftOf(options.lift) },
        );
        shell.out(
          planTable({
            stored,
            standing: { kind: 'held', runs: stored.plan.runs },
            clock: config.clock,
            units: config.units,
          }),
        );
        shell.out('\nRead it, look at the turf, then confirm:');
        shell.out(cautionLines(stored.plan).join('\n'));
        shell.out(`  ${confirmCommand(stored, repeatConfig(options))}`);
      });
    });
}

function liftOf(option: true | string[] | undefined): Lift {
  if (option === undefined) return 'none';
  return option === true ? 'all' : option;
}
