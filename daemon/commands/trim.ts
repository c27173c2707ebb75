import type { Command } from 'commander';
import { clearTrim, setTrim, standingTrims, TRIM_BOUNDS_PCT } from '../actions/set-trim.ts';
import { table } from '../words/text-table.ts';
import { type ActionOptions, doAction, withActionOptions } from './do-action.ts';
import { requiredText } from './required-text.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { type SiteSession, withSite } from './site-session.ts';

interface TrimOptions extends ActionOptions {
  bed?: string;
  percent?: string;
  clear?: true;
  who?: string;
  why?: string;
}

/** `dewbeat trim`: a person's percentage on the dose of one bed. */
export function addTrim(program: Command, shell: Shell): void {
  withActionOptions(program.command('trim'))
    .description('give a bed more or less than is worked out for it; alone: list the trims')
    .option('--bed <id>', 'the bed')
    .option(
      '--percent <percent>',
      `of the dose that is worked out, ${TRIM_BOUNDS_PCT.atLeast} to ${TRIM_BOUNDS_PCT.atMost}; 100 leaves it alone`,
    )
    .option('--clear', 'back to what the config says')
    .option('--who <name>', 'who trims it')
    .option('--why <text>', 'what you saw on the bed')
    .addHelpText(
      'after',
      '\nA trim stands until it is set anew or cleared. A bed that dries too soon is better told by a look: dewbeat look.\n\nExamples:\n  $ dewbeat trim --bed green-3 --percent 110 --who "A. Keeper" --why "dry collar"\n  $ dewbeat trim --bed green-3 --percent 120 --who "A. Keeper" --why "dry collar" --preview\n  $ dewbeat trim --bed green-3 --clear --who "A. Keeper"\n  $ dewbeat trim',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<TrimOptions>();
      const { bed, percent, clear, who, why, preview } = options;
      const isAct = [bed, percent, clear, who, why, preview].some((one) => one !== undefined);
      await withSite(options, shell, (session) =>
        isAct ? trim(session, options, shell) : list(session, shell),
      );
    });
}

async function trim(session: SiteSession, options: TrimOptions, shell: Shell): Promise<void> {
  const nowMs = shell.nowMs();
  const context = { ...session, nowMs };
  const { bed: bedId, why, clear } = options;
  if (clear === true && options.percent !== undefined) {
    throw new CommandFailure(2, '--clear: stands beside --percent; give one of them');
  }
  const trimPct = clear === true ? null : percentOf(options.percent);
  const who = requiredText('--who', options.who, 'give your name');
  await doAction(session, shell, {
    options,
    nowMs,
    actionOf: () =>
      trimPct === null
        ? clearTrim(context, { bedId, who, why })
        : setTrim(context, { bedId, trimPct, who, why }),
  });
}

function percentOf(text: string | undefined): number {
  const { atLeast, atMost } = TRIM_BOUNDS_PCT;
  if (text === undefined) {
    throw new CommandFailure(2, '--percent: is missing; give a percentage, or --clear');
  }
  const bare = text.trim().replace(/\s*%$/, '');
  const value = bare === '' ? Number.NaN : Number(bare);
  if (value >= atLeast && value <= atMost) return value;
  throw new CommandFailure(
    2,
    `--percent: must be ${atLeast} to ${atMost} (got ${text}); 100 leaves the dose alone`,
  );
}

function list({ db, config }: SiteSession, shell: Shell): void {
  const { clock, site } = config;
  const rows = standingTrims(db, site).map(({ bed, trim }) => [
    bed.name,
    `${Math.round(100 * trim.trimFraction)} %`,
    `${Math.round(100 * bed.trimFraction)} %`,
    clock.isoOf(trim.atMs).slice(0, 16).replace('T', ' '),
    trim.who,
    trim.why,
  ]);
  shell.out(
    rows.length === 0
      ? 'No bed is trimmed by a person: each goes by the config.'
      : table(['bed', 'trim', 'config', 'since', 'by', 'why'], rows),
  );
}
