import type { Command } from 'commander';
import { runStates } from '../../delivery/what-ran.ts';
import { parseSiteDay } from '../../site/time/site-clock.ts';
import { runStateHeading, runStateRows } from '../../words/plan-rows.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import { table } from '../../words/text-columns.ts';
import type { ConfigOption } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { readSite } from './site-session.ts';

interface RanOptions extends ConfigOption {
  day?: string;
}

/** `dewbeat ran`: how far each run of a day has come, from the plan to the field and back. */
export function addRan(program: Command, shell: Shell): void {
  program
    .command('ran')
    .description('each run of today: planned, sent, accepted, ran or missing')
    .option('--day <day>', 'another site day, YYYY-MM-DD')
    .addHelpText('after', '\nExample:\n  $ dewbeat ran --day 2026-07-01')
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<RanOptions>();
      await readSite(options, shell, ({ db, config }) => {
        const { clock, field: rule, site } = config;
        const nowMs = shell.nowMs();
        const siteDay =
          options.day === undefined ? clock.siteDayOf(nowMs) : parseSiteDay(options.day);
        if (siteDay === null) {
          throw new CommandFailure(
            2,
            `--day: is no calendar day (got ${options.day}); write it like 2026-07-01`,
          );
        }
        const states = runStates(db, { siteDay, clock, nowMs, rule });
        if (states.length === 0) {
          shell.out(`No run of ${siteDay} was confirmed.`);
          return;
        }
        const nameOf = (bedId: string) => site.beds.find((bed) => bed.id === bedId)?.name ?? bedId;
        const reader = readerOf(config);
        const rows = runStateRows(states, { reader, nameOf });
        shell.out(table(runStateHeading(sayTo(reader)), rows));
      });
    });
}
