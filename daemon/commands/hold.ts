import type { Command } from 'commander';
import { holdWater } from '../gate/gate.ts';
import { type Db, openDatabase } from '../store/database.ts';
import { localOrInstant } from '../time/local-or-instant.ts';
import { holdUnwritten } from './hold-unwritten.ts';
import { type ConfigOption, type OpenedConfig, openConfig } from './open-config.ts';
import { passOn } from './pass-on.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { outputNames } from './site-session.ts';

interface HoldOptions extends ConfigOption {
  beds?: string[];
  who: string;
  why: string;
  until?: string;
}

/** `dewbeat hold`: stops water at once, for everything or for the beds named. */
export function addHoldCommand(program: Command, shell: Shell): void {
  program
    .command('hold')
    .description('stop water now, for everything or for some beds; needs no confirm')
    .option('--beds <ids...>', 'only these beds (default: everything)')
    .option('--who <name>', 'who stops it', 'someone at the command line')
    .option('--why <reason>', 'why', 'no reason given')
    .option('--until <time>', 'when you mean to lift it: HH:MM today, or ISO 8601 with an offset')
    .addHelpText(
      'after',
      '\nA hold is lifted only by confirming a fresh plan: dewbeat plan --lift, then confirm.\n\nExample:\n  $ dewbeat hold --beds green-3 --who "A. Keeper" --why "leak at the collar" --until 14:00',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<HoldOptions>();
      const opened = openConfig(options, shell);
      const { config } = opened;
      const known = config.site.beds.map((bed) => bed.id);
      const strangers = (options.beds ?? []).filter((id) => !known.includes(id));
      // Stopping must not fail over a slip of the pen: what is known is stopped before the error.
      const beds = options.beds?.filter((id) => known.includes(id)) ?? ('all' as const);
      const untilMs =
        options.until === undefined
          ? null
          : localOrInstant(options.until, shell.nowMs(), config.clock);
      if (beds === 'all' || beds.length > 0) {
        await stop(opened, shell, { who: options.who, why: options.why, beds, untilMs });
      }
      if (strangers.length > 0) {
        throw new CommandFailure(
          2,
          `--beds: no such bed (got ${strangers.join(', ')}); the beds are ${known.join(', ')}`,
        );
      }
      if (options.until !== undefined && untilMs === null) {
        throw new CommandFailure(
          2,
          `--until: no time (got ${options.until}); the hold stands without one; write HH:MM or ISO 8601 with an offset`,
        );
      }
    });
}

/** Writes the hold and sees it on its way; one that cannot be written is sent all the same. */
async function stop(
  opened: OpenedConfig,
  shell: Shell,
  asked: { who: string; why: string; beds: 'all' | string[]; untilMs: number | null },
): Promise<void> {
  const { config } = opened;
  let db: Db;
  try {
    db = openDatabase(config.dataFolder);
  } catch (fault) {
    return holdUnwritten(opened, shell, { ...asked, db: null, fault });
  }
  try {
    let orderId: string;
    try {
      const context = {
        db,
        clock: config.clock,
        outputs: outputNames(opened),
        nowMs: shell.nowMs(),
      };
      orderId = holdWater(context, asked).orderId;
    } catch (fault) {
      return await holdUnwritten(opened, shell, { ...asked, db, fault });
    }
    shell.out(`On hold: ${asked.beds === 'all' ? 'everything' : asked.beds.join(', ')}.`);
    await passOn({ db, config }, shell, orderId);
  } finally {
    db.close();
  }
}
