import type { Command } from 'commander';
import { lastAuditEntries } from '../../site/store/audit-log.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import type { ConfigOption } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { readSite } from './site-session.ts';

interface LogOptions extends ConfigOption {
  last: string;
}

/** `dewbeat log`: who did what, when, to which plan, and why; oldest first. */
export function addLog(program: Command, shell: Shell): void {
  program
    .command('log')
    .description('show the log: plans, confirms, holds, what was sent and what came back')
    .option('--last <n>', 'how many lines', '40')
    .addHelpText('after', '\nExample:\n  $ dewbeat log --last 100')
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<LogOptions>();
      const most = Number(options.last);
      if (!Number.isInteger(most) || most < 1) {
        throw new CommandFailure(2, `--last: must be a whole number from 1 (got ${options.last})`);
      }
      await readSite(options, shell, ({ db, config }) => {
        const steps = lastAuditEntries(db, most);
        const say = sayTo(readerOf(config));
        if (steps.length === 0) shell.out('The log is empty.');
        for (const step of steps) {
          const about =
            step.revision === null
              ? ''
              : ` [${step.siteDay ?? ''} plan ${step.revision} ${step.digest?.slice(0, 8) ?? ''}]`;
          shell.out(
            `${config.clock.isoOf(step.atMs)}  ${say(`step.${step.kind}`)}  ${step.who}${about}  ${step.what}`,
          );
        }
      });
    });
}
