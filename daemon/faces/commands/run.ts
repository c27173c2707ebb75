import { join } from 'node:path';
import { type Command, Option } from 'commander';
import type { KeptStop, UnwrittenHold, UnwrittenHolds } from '../../delivery/delivery-memory.ts';
import { keepSite, keptSiteOf } from '../../delivery/earlier-configs.ts';
import { stopSocketOf } from '../../delivery/stop-now.ts';
import { isWritten } from '../../delivery/thread-entry.ts';
import type { Daemon } from '../../service/daemon.ts';
import type { Heartbeat } from '../../service/heartbeat.ts';
import type { DaemonLog } from '../../service/log.ts';
import { emptyView } from '../../service/monitoring.ts';
import type { Service, ServiceParts } from '../../service/service.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import { DATABASE_FILE, type Db } from '../../site/store/database.ts';
import { takeInstanceLock } from '../../site/store/running-daemon.ts';
import { keepInSight, refuseDamage } from '../../site/store/store-faults.ts';
import { within } from '../../within.ts';
import { helpAfter, sayAtCommandLine as say, whatItDoes } from '../../words/command-line.ts';
import { sessions } from '../web/safety/sessions.ts';
import type { ConfigOption } from './config-option.ts';
import { readConfig } from './open-config.ts';
import { CommandFailure, type Shell } from './shell.ts';
import { showFirst } from './show-first.ts';
import { type SiteSession, withSite } from './site-session.ts';

interface RunOptions extends ConfigOption {
  logLevel: string;
}

/** A first plan that takes longer than this to make is announced; the page serves meanwhile. */
const FIRST_PLAN_PATIENCE_MS = 15_000;

/** `dewbeat run`: the daemon, until it is asked to stop. */
export function addRun(program: Command, shell: Shell): void {
  program
    .command('run')
    .description(whatItDoes('run'))
    .addOption(
      new Option('--log-level <level>', say('run.log_level'))
        .choices(['debug', 'info', 'warn', 'error', 'silent'])
        .default('info'),
    )
    .addHelpText('after', helpAfter('run'))
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
  const { config, db, demo } = session;
  const lock = takeInstanceLock(config.dataFolder);
  if (lock === null) {
    throw new CommandFailure(1, say('run.another', { folder: config.dataFolder }));
  }
  keepInSight(db, { role: 'lock', path: lock.file });
  // The daemon's libraries are loaded here and not above: other commands start without them.
  const [
    { daemonLog },
    { startService },
    { startHeartbeat },
    { serviceNotifier },
    { operationsMetrics },
    { openInThread },
    { startFrontHost },
    { reckonerBeside },
    { webServer },
  ] = await Promise.all([
    import('../../service/log.ts'),
    import('../../service/service.ts'),
    import('../../service/heartbeat.ts'),
    import('../../service/service-notifier.ts'),
    import('../../service/metrics.ts'),
    import('../../delivery/open-outputs.ts'),
    import('../web/front/front-host.ts'),
    import('../../service/reckoner/reckoner-beside.ts'),
    import('../web/server.ts'),
  ]);
  const forPerson = shell.interactive || demo;
  const log: DaemonLog = daemonLog({ level: options.logLevel, forPerson });
  const notifier = serviceNotifier(process.env, (error) =>
    log.warn(say('run.log_no_notify', { why: error.message })),
  );
  const view = emptyView();
  // The page is there before what reads the config again: what is asked until then is not lost.
  let isReloadOwed = false;
  let askReload = (): void => {
    isReloadOwed = true;
  };
  const signIns = sessions();
  const unwrittenHolds: UnwrittenHolds = [];
  // What is stopped while the daemon starts waits for it in its place.
  let keepStop = (stop: UnwrittenHold): KeptStop => {
    unwrittenHolds.push(stop);
    return { written: null, why: say('run.starting') };
  };
  const front = startFrontHost({ log, signIns, keepStop: (stop) => keepStop(stop) });
  front.listenOn(stopSocketOf(config.dataFolder));
  const parts: ServiceParts = {
    db,
    log,
    now: shell.nowMs,
    view,
    unwrittenHolds,
    // Who has signed in stays so over a reload that leaves them as they were.
    makeServer: (served) => webServer({ ...served, signIns }),
    // Processes of its own where the program was built; where it runs as it is written, here.
    ...(isWritten(import.meta.url)
      ? {}
      : { openReckoner: (given: LoadedConfig) => reckonerBeside({ config: given, log }) }),
    askReload: () => askReload(),
    openOutput: openInThread,
    servePage: front.servePage,
    onOutputs: front.setOutputs,
  };
  try {
    refuseDamage(db, join(config.dataFolder, DATABASE_FILE));
    if (demo) {
      shell.out(say('run.demo'));
    }
    const service = await startService(config, parts);
    keepStop = service.keepStop;
    keepLastGood(service, { db, demo, log });
    const heartbeat = startHeartbeat({ ...parts, service, notifier });
    view.readiness = heartbeat.readiness;
    view.metrics = operationsMetrics({
      ...parts,
      config: service.config,
      status: heartbeat.status,
      rounds: () => service.daemon().rounds(),
    });
    notifier.tell('READY=1', `STATUS=${serving(service)}`);
    if (!forPerson) log.info(serving(service));
    const stopAsked = new Promise<'stop'>((resolve) => shell.onStop(() => resolve('stop')));
    const first = firstPlan(service.daemon());
    const onReloaded = () => keepLastGood(service, { db, demo, log });
    const given = { service, heartbeat, parts, options, shell, notifier, onReloaded };
    const reloads = reloadOnRequest(given);
    askReload = reloads.ask;
    if (isReloadOwed) askReload();
    const isFirstOver = Promise.race([first, stopAsked]);
    const { ended } = await within(isFirstOver, FIRST_PLAN_PATIENCE_MS);
    heartbeat.beat();
    // Not made yet is not the same as made tomorrow.
    if (forPerson && !ended) shell.out(say('run.first_plan'));
    const isStopped = (await isFirstOver) === 'stop';
    if (forPerson && !isStopped) showFirst(session, options, shell, service.pageUrl());
    await stopAsked;
    log.info(say('run.log_asked'));
    notifier.tell('STOPPING=1');
    await reloads.settled();
    heartbeat.stop();
    await service.stop();
    await within(notifier.passedOn(), 1_000);
    log.info(say('run.log_stopped'));
  } finally {
    await front.end();
    lock.release();
  }
}

/** Ends when what is owed at the start was begun, and a plan that is worked out for it is made. */
async function firstPlan(daemon: Daemon): Promise<void> {
  await daemon.nudge();
  await daemon.morningSettled();
}

/** Keeps the site for a stop that finds its config wrong or gone. */
function keepLastGood(
  service: Service,
  { db, demo, log }: { db: Db; demo: boolean; log: DaemonLog },
): void {
  const config = service.config();
  try {
    keepSite(config.dataFolder, keptSiteOf(config, demo, db));
  } catch (error) {
    log.error({ err: error }, say('run.log_no_site'));
  }
}

function serving(service: Service): string {
  const page = service.pageUrl() ?? say('run.no_page');
  return say('run.serving', { site: service.config().site.id, page });
}

/**
 * Reads the config again at each request, one after another. At a terminal there are none: there a
 * hang-up means that the terminal has gone.
 */
function reloadOnRequest(given: {
  service: Service;
  heartbeat: Heartbeat;
  parts: ServiceParts;
  options: RunOptions;
  shell: Shell;
  notifier: { tell(...lines: readonly string[]): void };
  onReloaded(): void;
}): { ask(): void; settled(): Promise<unknown> } {
  const { service, heartbeat, parts, options, shell, notifier } = given;
  let turn: Promise<void> = Promise.resolve();
  const again = async () => {
    notifier.tell('RELOADING=1');
    const { reload } = await import('../../service/service.ts');
    const done = await reload(service, parts, () => readConfig(options, shell).result);
    heartbeat.configProblems = done.ok ? [] : done.problems;
    if (done.ok) given.onReloaded();
    heartbeat.beat();
    const status = done.ok
      ? serving(service)
      : say('run.reload_refused', { serving: serving(service) });
    notifier.tell('READY=1', `STATUS=${status}`);
  };
  const ask = () => {
    turn = turn.then(again).catch((error: unknown) => {
      parts.log.error({ err: error }, say('run.log_no_reload'));
    });
  };
  if (!shell.interactive) shell.onReload(ask);
  return { ask, settled: () => within(turn, 5_000) };
}
