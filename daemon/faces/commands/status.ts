import { resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { needsOf } from '../../service/needs.ts';
import { siteStatus } from '../../service/site-status.ts';
import { statusDocument, statusLines } from '../../service/status-report.ts';
import { dataFolderOf } from '../../site/config/load.ts';
import { isInstanceLockTaken, readDaemonStatus } from '../../site/store/running-daemon.ts';
import { readerOf } from '../../words/plan-words.ts';
import { type ConfigOption, DEFAULT_CONFIG, readConfig } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { readSite } from './site-session.ts';

interface StatusOptions extends ConfigOption {
  format: 'text' | 'json';
}

/** `dewbeat status`: how the site stands, and what needs a person; also without a daemon. */
export function addStatus(program: Command, shell: Shell): void {
  program
    .command('status')
    .description('how the site stands; exit code 1 when something needs a person')
    .addOption(
      new Option('--format <format>', 'how to print').choices(['text', 'json']).default('text'),
    )
    .addHelpText('after', '\nExample:\n  $ dewbeat status --format json')
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<StatusOptions>();
      const read = readConfig(options, shell).result;
      // A config that is being edited must not hide how the daemon fares with the one before.
      if (!read.ok && options.format === 'text') tellDaemonBeside(options, shell);
      await readSite(options, shell, ({ db, config }) => {
        const status = siteStatus({
          db,
          config,
          nowMs: shell.nowMs(),
          running: isInstanceLockTaken(config.dataFolder),
          daemon: readDaemonStatus(config.dataFolder),
        });
        const needs = needsOf(status);
        const given = { site: config.site, clock: config.clock, reader: readerOf(config) };
        shell.out(
          options.format === 'json'
            ? JSON.stringify(statusDocument(status, needs, given), null, 2)
            : statusLines(status, needs, given).join('\n'),
        );
        if (needs.length > 0) {
          throw new CommandFailure(1, `status: needs a person (${needs.length})`);
        }
      });
    });
}

/** What a running daemon says of itself, where the config cannot be read to the end. */
function tellDaemonBeside(options: ConfigOption, shell: Shell): void {
  const folder = dataFolderOf(resolve(shell.cwd, options.config ?? DEFAULT_CONFIG));
  const daemon = folder === null ? null : readDaemonStatus(folder);
  if (folder === null || daemon === null || !isInstanceLockTaken(folder)) return;
  shell.out(`The daemon goes on with the config that it read at ${daemon.config_read_at}:`);
  shell.out(`page ${daemon.page ?? 'not served'}, last word ${daemon.heartbeat_at}.`);
  for (const { output, ok, detail } of daemon.outputs) {
    shell.out(`${output}: ${ok ? 'well' : 'AWAY'}, ${detail}`);
  }
  shell.out('The config now:');
}
