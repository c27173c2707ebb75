import { resolve } from 'node:path';
import type { Command } from 'commander';
import { type BackupContents, backUp, checkBackup } from '../../site/store/backup.ts';
import { utcIso } from '../../site/time/site-clock.ts';
import type { ConfigOption } from './open-config.ts';
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
    .description('copy the memory to a new file while the daemon runs, or check such a copy')
    .option('--to <file>', 'write a backup to this file; nothing is overwritten')
    .option('--check <file>', 'look through a backup and tell what it holds')
    .addHelpText(
      'after',
      '\nExamples:\n  $ dewbeat backup --to dewbeat-2026-07-01.sqlite\n  $ dewbeat backup --check dewbeat-2026-07-01.sqlite',
    )
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<BackupOptions>();
      const { to, check } = options;
      if ((to === undefined) === (check === undefined)) {
        throw new CommandFailure(2, 'backup: needs --to FILE or --check FILE, one of them');
      }
      if (check !== undefined) {
        shell.out(contentsText(checkBackup(resolve(shell.cwd, check)), 'sound'));
      } else if (to !== undefined) {
        await readSite(options, shell, ({ db }) => {
          shell.out(contentsText(backUp(db, resolve(shell.cwd, to)), 'written and checked'));
        });
      }
    });
}

function contentsText(contents: BackupContents, how: string): string {
  const { file, sizeMb, rows, lastStepMs } = contents;
  const last = lastStepMs === null ? 'its log is empty' : `last log line ${utcIso(lastStepMs)}`;
  const plans = `${rows['plan'] ?? 0} plans, ${rows['confirmation'] ?? 0} confirms, ${rows['hold'] ?? 0} holds, ${rows['step'] ?? 0} log lines`;
  return `${file}: ${how}, ${sizeMb.toFixed(1)} MB, ${plans}; ${last}.`;
}
