import { type Command, Option } from 'commander';
import { SURFACES } from '../../../calc/looks/look-evidence.ts';
import { ActionRefused } from '../../actions/action-context.ts';
import { type LookEffect, logLook, undoLook } from '../../actions/look.ts';
import { everyLook } from '../../site/store/looks.ts';
import {
  headingsOf,
  helpAfter,
  sayAtCommandLine as say,
  whatItDoes,
} from '../../words/command-line.ts';
import { sayEffect, saySeen } from '../../words/look-words.ts';
import { readerOf } from '../../words/plan-words.ts';
import { table } from '../../words/text-columns.ts';
import { knownBed, requiredText, wrongOption } from './given-options.ts';
import { type LookOptions, seenOf } from './look-options.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { type SiteSession, withSite } from './site-session.ts';
import { repeatConfig } from './store-session.ts';

/** `dewbeat look`: what a person saw on a bed, by which the plan is set right and learns. */
export function addLookCommand(program: Command, shell: Shell): void {
  program
    .command('look')
    .description(whatItDoes('look'))
    .option('--bed <id>', say('look.bed'))
    .addOption(new Option('--saw <surface>', say('look.saw')).choices([...SURFACES]))
    .option('--cover <percent>', say('look.cover'))
    .option('--leaf <length>', say('look.leaf'))
    .option('--root <length>', say('look.root'))
    .option('--probe <percent>', say('look.probe'))
    .option('--probe-depth <depth>', say('look.probe_depth'))
    .option('--photo <file>', say('look.photo'))
    .option('--note <text>', say('look.note'))
    .option('--at <time>', say('look.at'))
    .option('--who <name>', say('option.who'))
    .option('--undo <id>', say('look.undo'))
    .addHelpText('after', helpAfter('look'))
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
  const who = requiredText('who', options.who, 'refused.who');
  const seen = seenOf(options, { bedId: bed.id, config, nowMs: shell.nowMs(), cwd: shell.cwd });
  const reader = readerOf(config);
  const what = say('look.in_log', {
    bed: bed.name,
    seen: saySeen(seen, { ...reader, language: 'en' }),
    at: config.clock.isoOf(seen.seenMs),
  });
  const effect = await logLook(contextOf(session, shell), seen, { who, what });
  shell.out(
    say('look.logged', {
      id: effect.look.lookId,
      bed: bed.name,
      at: config.clock.timeOf(seen.seenMs),
      seen: saySeen(seen, reader),
      who,
    }),
  );
  tell(session, effect, { options, shell });
}

async function takeBack(session: SiteSession, options: LookOptions, shell: Shell): Promise<void> {
  const { undo, who: _who, config: _config, ...rest } = options;
  const [stray] = Object.keys(rest);
  if (stray !== undefined) {
    throw wrongOption('undo', 'look.undo_alone', { got: stray });
  }
  const who = requiredText('who', options.who, 'refused.who');
  try {
    const effect = await undoLook(contextOf(session, shell), { lookId: Number(undo), who });
    shell.out(say('look.undone', { id: effect.look.lookId, who }));
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
  const bed = knownBed(config.site, effect.look.bedId).name;
  const given = { reader: readerOf(config), nowMs: shell.nowMs(), bed };
  for (const line of sayEffect(effect, given)) shell.out(line);
  shell.out(say('look.plan', { command: `npx dewbeat plan${repeatConfig(options)}` }));
}

function list({ db, config }: SiteSession, options: LookOptions, shell: Shell): void {
  const asked = options.bed === undefined ? null : knownBed(config.site, options.bed).id;
  const looks = everyLook(db).filter((one) => (asked ?? one.bedId) === one.bedId);
  if (looks.length === 0) {
    shell.out(say('look.none'));
    return;
  }
  const rows = looks.map((one) => [
    String(one.lookId),
    config.clock.isoOf(one.seenMs).slice(0, 16).replace('T', ' '),
    one.bedId,
    one.who,
    saySeen(one, readerOf(config)),
    one.undoneBy === null ? '' : say('look.row_undone', { who: one.undoneBy }),
  ]);
  shell.out(table(headingsOf('look.heading'), rows));
}

function contextOf({ db, config, weather }: SiteSession, shell: Shell) {
  return { db, config, weather, nowMs: shell.nowMs() };
}
