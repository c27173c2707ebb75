import type { Command } from 'commander';
import { holdWater } from '../gate/gate.ts';
import { localOrInstant } from '../time/local-or-instant.ts';
import type { ConfigOption } from './open-config.ts';
import { passOn } from './pass-on.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { outputNames, withSite } from './site-session.ts';

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
      await withSite(options, shell, async (session) => {
        const { db, config } = session;
        const nowMs = shell.nowMs();
        const known = config.site.beds.map((bed) => bed.id);
        const strangers = (options.beds ?? []).filter((id) => !known.includes(id));
        // Stopping must not fail over a slip of the pen: what is known is stopped before the error.
        const beds = options.beds?.filter((id) => known.includes(id)) ?? ('all' as const);
        const untilMs =
          options.until === undefined ? null : localOrInstant(options.until, nowMs, config.clock);
        if (beds === 'all' || beds.length > 0) {
          const { orderId } = holdWater(
            { db, clock: config.clock, outputs: outputNames(session), nowMs },
            { who: options.who, why: options.why, beds, untilMs },
          );
          shell.out(`On hold: ${beds === 'all' ? 'everything' : beds.join(', ')}.`);
          await passOn(session, shell, orderId);
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
    });
}
