import { resolve } from 'node:path';
import type { Command } from 'commander';
import { type BackupContents, backUp, checkBackup } from '../../site/store/backup.ts';
import { utcIso } from '../../site/time/site-clock.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import type { ConfigOption } from './config-option.ts';
import { needsOneOf } from './given-options.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { readSite } from './site-session.ts';

interface BackupOptions extends ConfigOption {
  to?: string;
  check?: string;
}

/** `dewbeat backup`: copies the memory while the daemon runs, or looks through such a copy. */
export function addBackup(program: Command, shell: Shell): void {
  program
    .command('backup')
    .description(whatItDoes('backup'))
    .option('--to <file>', say('backup.to'))
    .option('--check <file>', say('backup.check'))
    .addHelpText('after', helpAfter('backup'))
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<BackupOptions>();
      const { to, check } = options;
      if ((to === undefined) === (check === undefined)) {
        throw new CommandFailure(2, needsOneOf('backup', 'FILE'));
      }
      if (check !== undefined) {
        shell.out(contentsText(checkBackup(resolve(shell.cwd, check)), 'sound'));
      } else if (to !== undefined) {
        await readSite(options, shell, ({ db }) => {
          shell.out(contentsText(backUp(db, resolve(shell.cwd, to)), 'written'));
        });
      }
    });
}

function contentsText(contents: BackupContents, how: 'sound' | 'written'): string {
  const { file, sizeMb, rows, lastStepMs } = contents;
  return say('backup.contents', {
    file,
    how,
    size: sizeMb.toFixed(1),
    plans: rows['plan'] ?? 0,
    confirms: rows['confirmation'] ?? 0,
    stops: rows['hold'] ?? 0,
    lines: rows['step'] ?? 0,
    last: lastStepMs === null ? 'none' : utcIso(lastStepMs),
  });
}
