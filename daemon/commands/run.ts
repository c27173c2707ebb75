import { type Command, Option } from 'commander';
import { planStanding } from '../gate/plan-standing.ts';
import type { daemonLog } from '../log.ts';
import { takeInstanceLock } from '../store/instance-lock.ts';
import { newestPlan, type StoredPlan } from '../store/plans.ts';
import type { webServer } from '../web/server.ts';
import { cautionLines, confirmCommand } from '../words/next-command.ts';
import type { ConfigOption } from './open-config.ts';
import { planTable } from './plan-table.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { repeatConfig, type SiteSession, withSite } from './site-session.ts';

interface RunOptions extends ConfigOption {
  logLevel: string;
}

/** `dewbeat run`: the daemon, until it is asked to stop. */
export function addRun(program: Command, shell: Shell): void {
  program
    .command('run')
    .description('run as a daemon: plan each morning, send what is confirmed')
    .addOption(
      new Option('--log-level <level>', 'what the daemon logs')
        .choices(['debug', 'info', 'warn', 'error', 'silent'])
        .default('info'),
    )
    .addHelpText('after', '\nExample:\n  $ dewbeat run -c /etc/dewbeat/dewbeat.yaml')
    .action(async (_, command: Command) => {
      const options = command.optsWithGlobals<RunOptions>();
      await withSite(options, shell, (session) => runUntilStopped(session, options, shell));
    });
}

async function runUntilStopped(
  session: SiteSession,
  options: RunOptions,
  shell: Shell,
): Promise<void> {
  const { config, db, weather, demo } = session;
  const lock = takeInstanceLock(config.dataFolder);
  if (lock === null) {
    throw new CommandFailure(
      1,
      `${config.dataFolder}: another dewbeat runs on this data folder; stop that one first, or give this one a data_folder of its own`,
    );
  }
  // The daemon's libraries are loaded here and not above: other commands start without them.
  const [{ daemonLog }, { webServer }, { startDaemon }] = await Promise.all([
    import('../log.ts'),
    import('../web/server.ts'),
    import('../daemon.ts'),
  ]);
  const log = daemonLog({ level: options.logLevel, forPerson: shell.interactive || demo });
  try {
    if (demo) {
      shell.out(
        'No ./dewbeat.yaml here: this is the embedded demo. Its site and weather are invented.',
      );
    }
    const web = webServer({ db, config, now: shell.nowMs });
    const page = await listen(web, config.page, log);
    const daemon = await startDaemon({ config, db, weather, log, now: shell.nowMs });
    await daemon.nudge();
    showNewest(session, options, shell, page);
    await new Promise<void>((resolve) => shell.onStop(resolve));
    log.info('asked to stop');
    await daemon.stop();
    await web.close();
    log.info('stopped');
  } finally {
    lock.release();
  }
}

/** A port that is taken must not keep a seedbed from its plan: the daemon runs without the page. */
async function listen(
  web: ReturnType<typeof webServer>,
  page: { address: string; port: number },
  log: ReturnType<typeof daemonLog>,
): Promise<string | null> {
  try {
    return await web.listen({ host: page.address, port: page.port });
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    log.error(`page: cannot be served (got ${why}); name another page.port; going on without it`);
    return null;
  }
}

function showNewest(
  session: SiteSession,
  options: RunOptions,
  shell: Shell,
  page: string | null,
): void {
  const { config, db } = session;
  const stored: StoredPlan | null = newestPlan(db);
  if (stored === null) {
    shell.out('There is no plan yet: the next one is made in the morning.');
  } else {
    const standing = planStanding(db, stored);
    shell.out('');
    shell.out(planTable({ stored, standing, clock: config.clock, units: config.units }));
    shell.out('');
    if (standing.kind === 'held') {
      shell.out(`The plan is held in ${config.dataFolder}. Look at the turf first:`);
      shell.out(cautionLines().join('\n'));
      shell.out('then confirm it, from this folder, in another terminal:');
      shell.out(`  ${confirmCommand(stored, repeatConfig(options))}`);
    }
  }
  if (page !== null) shell.out(`The page: ${page}`);
  shell.out('The daemon stays up; Ctrl-C stops it.');
}
