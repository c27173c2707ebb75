import type { Command } from 'commander';
import { oneMoreRotation } from '../actions/one-more-rotation.ts';
import { type ActionOptions, doAction, withActionOptions } from './do-action.ts';
import { requiredText } from './required-text.ts';
import type { Shell } from './shell.ts';
import { withSite } from './site-session.ts';

interface RotationOptions extends ActionOptions {
  bed: string;
  rotations: string;
  who?: string;
}

/** `dewbeat rotation`: one head rotation more on a bed, now, in a held plan. */
export function addRotation(program: Command, shell: Shell): void {
  withActionOptions(program.command('rotation'))
    .description('ask for one rotation more on a bed now, in a plan to confirm')
    .requiredOption('--bed <id>', 'the bed that is to get it')
    .option('--rotations <n>', 'how many, 1 to 5', '1')
    .option('--who <name>', 'who asks for it')
    .addHelpText(
      'after',
      '\nIt runs only once you confirm the plan that has it. Water that was given already is logged with dewbeat water.\n\nExamples:\n  $ dewbeat rotation --bed green-3 --who "A. Keeper"\n  $ dewbeat rotation --bed green-3 --rotations 2 --who "A. Keeper" --preview',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<RotationOptions>();
      const who = requiredText('--who', options.who, 'give your name');
      await withSite(options, shell, (session) => {
        const nowMs = shell.nowMs();
        const rotations = Number(options.rotations);
        return doAction(session, shell, {
          options,
          nowMs,
          actionOf: () =>
            oneMoreRotation({ ...session, nowMs }, { bedId: options.bed, rotations, who }),
        });
      });
    });
}
