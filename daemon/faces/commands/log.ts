import type { Command } from 'commander';
import { lastAuditEntries } from '../../site/store/audit-log.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { readerOf, sayTo } from '../../words/plan-words.ts';
import type { ConfigOption } from './config-option.ts';
import { wrongOption } from './given-options.ts';
import type { Shell } from './shell.ts';
import { readSite } from './site-session.ts';

interface LogOptions extends ConfigOption {
  last: string;
}

/** `dewbeat log`: who did what, when, to which plan, and why; oldest first. */
export function addLog(program: Command, shell: Shell): void {
  program
    .command('log')
    .description(whatItDoes('log'))
    .option('--last <n>', say('log.last'), '40')
    .addHelpText('after', helpAfter('log'))
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<LogOptions>();
      const most = Number(options.last);
      if (!Number.isInteger(most) || most < 1) {
        throw wrongOption('last', 'refused.whole_from_1', { got: options.last });
      }
      await readSite(options, shell, ({ db, config }) => {
        const steps = lastAuditEntries(db, most);
        const sayStep = sayTo(readerOf(config));
        if (steps.length === 0) shell.out(say('log.empty'));
        for (const step of steps) {
          const about =
            step.revision === null
              ? ''
              : say('log.about', {
                  day: step.siteDay ?? '',
                  revision: step.revision,
                  digest: step.digest?.slice(0, 8) ?? '',
                });
          shell.out(
            `${config.clock.isoOf(step.atMs)}  ${sayStep(`step.${step.kind}`)}  ${step.who}${about}  ${step.what}`,
          );
        }
      });
    });
}
