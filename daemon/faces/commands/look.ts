import { type Command, Option } from 'commander';
import { SURFACES } from '../../../calc/looks/look-evidence.ts';
import { ActionRefused } from '../../actions/action-context.ts';
import { type LookEffect, logLook, undoLook } from '../../actions/look.ts';
import { everyLook } from '../../site/store/looks.ts';
import { sayEffect, saySeen } from '../../words/look-words.ts';
import { readerOf } from '../../words/plan-words.ts';
import { table } from '../../words/text-columns.ts';
import { knownBed } from './known-bed.ts';
import { type LookOptions, seenOf } from './look-options.ts';
import { requiredText } from './required-text.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { repeatConfig, type SiteSession, withSite } from './site-session.ts';

/** `dewbeat look`: what a person saw on a bed, by which the plan is set right and learns. */
export function addLookCommand(program: Command, shell: Shell): void {
  program
    .command('look')
    .description('log what you saw on a bed, so that plans start from it and learn; alone: list')
    .option('--bed <id>', 'the bed (alone: list its looks)')
    .addOption(new Option('--saw <surface>', 'the surface').choices([...SURFACES]))
    .option('--cover <percent>', 'part of the ground that is green, such as 40%')
    .option('--leaf <length>', 'leaf length, such as 8 mm')
    .option('--root <length>', 'root length, such as 12 mm')
    .option('--probe <percent>', 'water in the sand by volume, such as 18%; with --probe-depth')
    .option('--probe-depth <depth>', 'depth of the reading, such as 10 mm')
    .option('--photo <file>', 'a photo, copied into the data folder')
    .option('--note <text>', 'anything else')
    .option('--at <time>', 'when: HH:MM today, or ISO 8601 with an offset (default: now)')
    .option('--who <name>', 'who looked')
    .option('--undo <id>', 'take back the look of this number')
    .addHelpText(
      'after',
      '\ndark: wet. lightening: near the dry limit. dry: at or below it. puddle: water stands. wash: seed or sand has moved.\n\nExamples:\n  $ dewbeat look --bed green-3 --saw lightening --at 13:30 --who "A. Keeper"\n  $ dewbeat look --bed green-3 --saw dark --cover 40% --leaf "8 mm" --who "A. Keeper"\n  $ dewbeat look --undo 2 --who "A. Keeper"',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<LookOptions>();
      await withSite(options, shell, async (session) => {
        if (options.undo !== undefined) return await takeBack(session, options, shell);
        const { bed: _bed, config: _config, ...told } = options;
        if (Object.keys(told).length === 0) return list(session, options, shell);
        await look(session, options, shell);
      });
    });
}

async function look(session: SiteSession, options: LookOptions, shell: Shell): Promise<void> {
  const { config } = session;
  const bed = knownBed(config.site, options.bed);
  const who = requiredText('--who', options.who, 'give your name');
  const seen = seenOf(options, { bedId: bed.id, config, nowMs: shell.nowMs(), cwd: shell.cwd });
  const reader = readerOf(config);
  const what = `${bed.name}: ${saySeen(seen, { ...reader, language: 'en' })} at ${config.clock.isoOf(seen.seenMs)}`;
  const effect = await logLook(contextOf(session, shell), seen, { who, what });
  shell.out(
    `Look ${effect.look.lookId}, ${bed.name} at ${config.clock.timeOf(seen.seenMs)}: ${saySeen(seen, reader)}. Logged by ${who}.`,
  );
  tell(session, effect, { options, shell });
}

async function takeBack(session: SiteSession, options: LookOptions, shell: Shell): Promise<void> {
  const { undo, who: _who, config: _config, ...rest } = options;
  const [stray] = Object.keys(rest);
  if (stray !== undefined) {
    throw new CommandFailure(
      2,
      `--undo: goes with --who alone (got ${stray}); log a new look apart`,
    );
  }
  const who = requiredText('--who', options.who, 'give your name');
  try {
    const effect = await undoLook(contextOf(session, shell), { lookId: Number(undo), who });
    shell.out(`Look ${effect.look.lookId} taken back by ${who}.`);
    tell(session, effect, { options, shell });
  } catch (error) {
    if (error instanceof ActionRefused) throw new CommandFailure(2, `--${error.message}`);
    throw error;
  }
}

function tell(
  { config }: SiteSession,
  effect: LookEffect,
  { options, shell }: { options: LookOptions; shell: Shell },
): void {
  const given = { reader: readerOf(config), nowMs: shell.nowMs() };
  for (const line of sayEffect(effect, given)) shell.out(line);
  shell.out(`A plan that starts from it: npx dewbeat plan${repeatConfig(options)}`);
}

function list({ db, config }: SiteSession, options: LookOptions, shell: Shell): void {
  if (options.bed !== undefined) knownBed(config.site, options.bed);
  const looks = everyLook(db).filter((one) => (options.bed ?? one.bedId) === one.bedId);
  if (looks.length === 0) {
    shell.out('No look has been logged.');
    return;
  }
  const rows = looks.map((one) => [
    String(one.lookId),
    config.clock.isoOf(one.seenMs).slice(0, 16).replace('T', ' '),
    one.bedId,
    one.who,
    saySeen(one, readerOf(config)),
    one.undoneBy === null ? '' : `taken back by ${one.undoneBy}`,
  ]);
  shell.out(table(['no.', 'seen', 'bed', 'by', 'what', ''], rows));
}

function contextOf({ db, config, weather }: SiteSession, shell: Shell) {
  return { db, config, weather, nowMs: shell.nowMs() };
}
