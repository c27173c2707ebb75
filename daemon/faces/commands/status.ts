import { resolve } from 'node:path';
import { type Command, Option } from 'commander';
import { needsOf } from '../../service/needs.ts';
import { siteStatus } from '../../service/site-status.ts';
import { statusDocument, statusLines } from '../../service/status-report.ts';
import { dataFolderOf } from '../../site/config/load.ts';
import { isInstanceLockTaken, readDaemonStatus } from '../../site/store/running-daemon.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { readerOf } from '../../words/plan-words.ts';
import { type ConfigOption, DEFAULT_CONFIG } from './config-option.ts';
import { readConfig } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { readSite } from './site-session.ts';

interface StatusOptions extends ConfigOption {
  format: 'text' | 'json';
}

/** `dewbeat status`: how the site stands, and what needs a person; also without a daemon. */
export function addStatus(program: Command, shell: Shell): void {
  program
    .command('status')
    .description(whatItDoes('status'))
    .addOption(
      new Option('--format <format>', say('option.format'))
        .choices(['text', 'json'])
        .default('text'),
    )
    .addHelpText('after', helpAfter('status'))
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
          throw new CommandFailure(1, say('status.needs_person', { needs: needs.length }));
        }
      });
    });
}

/** What a running daemon says of itself, where the config cannot be read to the end. */
function tellDaemonBeside(options: ConfigOption, shell: Shell): void {
  const folder = dataFolderOf(resolve(shell.cwd, options.config ?? DEFAULT_CONFIG));
  const daemon = folder === null ? null : readDaemonStatus(folder);
  if (folder === null || daemon === null || !isInstanceLockTaken(folder)) return;
  shell.out(say('status.daemon_before', { at: daemon.config_read_at }));
  const page = daemon.page ?? say('status.no_page');
  shell.out(say('status.daemon_page', { page, at: daemon.heartbeat_at }));
  for (const { output, ok, detail } of daemon.outputs) {
    shell.out(say('status.output', { output, isWell: ok ? 'yes' : 'no', detail }));
  }
  shell.out(say('status.config_now'));
}
