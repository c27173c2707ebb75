import type { Command } from 'commander';
import { bedsToHold, hold, sayHeld } from '../acts/hold.ts';
import { type Db, openDatabase } from '../store/database.ts';
import { localOrInstant } from '../time/local-or-instant.ts';
import { holdUnwritten } from './hold-unwritten.ts';
import { type ConfigOption, type OpenedConfig, openConfig } from './open-config.ts';
import { passOn } from './pass-on.ts';
import { CommandFailure, type Shell } from './shell.ts';

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
      const { beds, strangersLine } = bedsToHold(config.site, options.beds ?? 'all');
      const untilMs =
        options.until === undefined
          ? null
          : localOrInstant(options.until, shell.nowMs(), config.clock);
      if (beds === 'all' || beds.length > 0) {
        await stop(opened, shell, { who: options.who, why: options.why, beds, untilMs });
      }
      if (strangersLine !== '') throw new CommandFailure(2, `--beds: ${strangersLine}`);
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
      orderId = hold({ db, config, nowMs: shell.nowMs() }, asked).orderId;
    } catch (fault) {
      return await holdUnwritten(opened, shell, { ...asked, db, fault });
    }
    shell.out(sayHeld(asked.beds));
    await passOn({ db, config }, shell, orderId);
  } finally {
    db.close();
  }
}
