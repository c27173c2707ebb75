import { type Command, Option } from 'commander';
import { readQuantity } from '../../adapters/quantity.ts';
import { type BedStanding, stageOrder } from '../../calc/growth/bed-standing.ts';
import { previousStage, STAGE_NAMES, STAGES, type StageName } from '../../calc/growth/stages.ts';
import { standingsOf } from '../planning/site-in-stages.ts';
import { addStageMove, stageMoves } from '../store/stage-moves.ts';
import { addStep } from '../store/steps.ts';
import { knownBed } from './known-bed.ts';
import type { ConfigOption } from './open-config.ts';
import { requiredText } from './required-text.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { repeatConfig, type SiteSession, withSite } from './site-session.ts';
import { stageReport } from './stage-report.ts';

interface StageOptions extends ConfigOption {
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
  program
    .command('stage')
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
      const given = [options.patch, options.share, options.who, options.why];
      if (!moves && given.some((one) => one !== undefined)) {
        throw new CommandFailure(2, '--to: is missing; name a stage, or give --back');
      }
      await withSite(options, shell, async (session) => {
        if (moves) moveBed(session, options, shell);
        else shell.out(await stageReport(session, { bedId: options.bed, nowMs: shell.nowMs() }));
      });
    });
}

function moveBed(session: SiteSession, options: StageOptions, shell: Shell): void {
  const { db, config } = session;
  const nowMs = shell.nowMs();
  const bed = knownBed(config.site, options.bed);
  const who = requiredText('--who', options.who, 'give your name');
  const why = requiredText('--why', options.why, 'say what you saw on the bed');
  const patch = options.patch === undefined ? null : patchOf(options.patch);
  const shareFraction = shareOf(options);
  const standing = () =>
    standingsOf(config.site, stageMoves(db)).find((one) => one.bedId === bed.id) as BedStanding;
  const before = standing();
  const from = before.slowPatches.find((one) => one.name === patch)?.stage ?? before.stage;
  const stage = targetOf(options, from);
  const what = patch === null ? bed.name : `${bed.name}, patch ${patch}`;
  if (stage === from && !(patch !== null && shareFraction !== null)) {
    throw new CommandFailure(2, `--to: ${what} stands there already (got ${stage}); nothing moved`);
  }
  if (patch !== null && stageOrder(stage) > stageOrder(before.stage)) {
    throw new CommandFailure(
      2,
      `--to: a patch cannot be ahead of its bed (got ${stage}, the bed is at ${before.stage}); move the bed, and keep back what is slow`,
    );
  }
  db.transaction(() => {
    addStageMove(db, { atMs: nowMs, who, why, bedId: bed.id, patch, shareFraction, stage });
    addStep(db, {
      atMs: nowMs,
      kind: 'stage_moved',
      who,
      siteDay: config.clock.siteDayOf(nowMs),
      what: `${what}: ${from} to ${stage} (${why})`,
    });
  }).immediate();
  shell.out(`${what}: ${words(from)} to ${words(stage)}.`);
  if (Math.abs(stageOrder(stage) - stageOrder(from)) > 1) {
    shell.out('That is more than one step: look at the hottest hour today and tomorrow.');
  }
  const { ruling, slowPatches } = standing();
  const [slowest] = slowPatches;
  if (slowest !== undefined) {
    shell.out(`It is watered as ${words(ruling)}: its patch ${slowest.name} is the younger part.`);
  }
  shell.out(
    `The next plan waters it so. To have one now: npx dewbeat plan${repeatConfig(options)}`,
  );
}

function targetOf(options: StageOptions, from: StageName): StageName {
  if (options.to !== undefined && options.back === true) {
    throw new CommandFailure(2, '--back: stands beside --to; give one of them');
  }
  if (options.to !== undefined) return options.to;
  const back = previousStage(from);
  if (back === null) {
    throw new CommandFailure(
      2,
      `--back: there is no stage before (got ${from}); it is the first: ${STAGES[from].label}`,
    );
  }
  return back;
}

function patchOf(text: string): string {
  const name = requiredText('--patch', text, 'name the patch as you would on the turf');
  if (name.length > 40) {
    throw new CommandFailure(
      2,
      `--patch: is too long (got ${name.length} letters); use 40 or less`,
    );
  }
  return name;
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

function words(stage: StageName): string {
  return stage.replace('_', ' ');
}
