import { type Command, Option } from 'commander';
import { readQuantity } from '../../adapters/quantity.ts';
import { STAGE_NAMES, type StageName } from '../../calc/growth/stages.ts';
import { moveStage, type StageTarget } from '../actions/move-stage.ts';
import { type ActionOptions, doAction, withActionOptions } from './do-action.ts';
import { requiredText } from './required-text.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { type SiteSession, withSite } from './site-session.ts';
import { stageReport } from './stage-report.ts';

interface StageOptions extends ActionOptions {
  bed?: string;
  to?: StageName;
  back?: true;
  patch?: string;
  share?: string;
  who?: string;
  why?: string;
}

/** `dewbeat stage`: where each bed stands, and a person's move of one to another stage. */
export function addStage(program: Command, shell: Shell): void {
  withActionOptions(program.command('stage'))
    .description('show where the beds stand, or move one to another growth stage')
    .option('--bed <id>', 'the bed to move (alone: show only this bed)')
    .addOption(new Option('--to <stage>', 'the stage that it stands in now').choices(STAGE_NAMES))
    .option('--back', 'one step back')
    .option('--patch <name>', 'only a slow patch of the bed')
    .option('--share <percent>', 'part of the bed that the patch takes up, such as 15%')
    .option('--who <name>', 'who moves it')
    .option('--why <text>', 'what you saw')
    .addHelpText(
      'after',
      '\nA stage moves only by a person’s command. A bed with a slow patch is watered for the younger part.\n\nExamples:\n  $ dewbeat stage\n  $ dewbeat stage --bed green-3 --to emergence --who "A. Keeper" --why "half of it shows green"\n  $ dewbeat stage --bed green-3 --patch "north edge" --share 15% --to germination --who "A. Keeper" --why "bare still"',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<StageOptions>();
      const moves = options.to !== undefined || options.back === true;
      const given = [options.patch, options.share, options.who, options.why, options.preview];
      if (!moves && given.some((one) => one !== undefined)) {
        throw new CommandFailure(2, '--to: is missing; name a stage, or give --back');
      }
      await withSite(options, shell, async (session) => {
        if (moves) await moveBed(session, options, shell);
        else shell.out(await stageReport(session, { bedId: options.bed, nowMs: shell.nowMs() }));
      });
    });
}

async function moveBed(session: SiteSession, options: StageOptions, shell: Shell): Promise<void> {
  const nowMs = shell.nowMs();
  const context = { ...session, nowMs };
  const who = requiredText('--who', options.who, 'give your name');
  const { why, patch = null } = options;
  const shareFraction = shareOf(options);
  const target = targetOf(options);
  await doAction(session, shell, {
    options,
    nowMs,
    actionOf: () =>
      moveStage(context, { bedIds: [options.bed], target, patch, shareFraction, who, why }),
  });
}

function targetOf({ to, back }: StageOptions): StageTarget {
  if (to === undefined) return 'back';
  if (back === true) {
    throw new CommandFailure(2, '--back: stands beside --to; give one of them');
  }
  return { to };
}

function shareOf(options: StageOptions): number | null {
  if (options.share === undefined) return null;
  if (options.patch === undefined) {
    throw new CommandFailure(2, '--share: stands without --patch; name the patch');
  }
  const text = /%|percent/i.test(options.share) ? options.share : `${options.share} %`;
  const reading = readQuantity(text, 'fraction', { min: 0.01, max: 0.99 });
  if (!reading.ok) throw new CommandFailure(2, `--share: ${reading.message}`);
  return reading.value;
}
