import type { FastifyInstance } from 'fastify';
import type { Logger } from 'pino';
import type { Answer, StoppableOutput } from '../../adapters/contract.ts';
import type { WeatherSource } from '../../adapters/weather/source.ts';
import {
  type KeptStop,
  type UnwrittenHold,
  type UnwrittenHolds,
  type WrittenHold,
  writeHolds,
} from '../delivery/delivery-memory.ts';
import type { OpenOutput } from '../delivery/open-outputs.ts';
import { type StopRequest, type StopTarget, stopDispatcher } from '../delivery/stop-now.ts';
import type { ConfigResult, LoadedConfig } from '../site/config/config.ts';
import { openWeather } from '../site/config/open-weather.ts';
import { problemText } from '../site/config/problems.ts';
import { bindStore } from '../site/gate/bind-store.ts';
import { type AuditKind, addAuditEntry, DAEMON } from '../site/store/audit-log.ts';
import { type Db, waitBriefly } from '../site/store/database.ts';
import { weatherMemory } from '../site/store/weather-readings.ts';
import type { StopOutcome } from '../words/delivery-words.ts';
import { type Daemon, startDaemon } from './daemon.ts';
import type { MonitoringView } from './monitoring.ts';
import { keepPage, type PageKeeper, type PagePlace, type ServePage } from './page-keeper.ts';
import { type Reckoner, reckonerHere } from './reckoner/reckoner.ts';

/** What came of a stop: at the outputs, and in the store. */
export interface StopDone {
  outcome: StopOutcome;
  /** Null: the store does not have it yet. */
  written: WrittenHold | null;
}

/** What the page is served from. */
export interface ServedParts extends Pick<ServiceParts, 'db' | 'now' | 'view' | 'askReload'> {
  config: LoadedConfig;
  weather: WeatherSource;
  reckoner: Reckoner;
  stopWater(asked: StopRequest): Promise<StopDone>;
  onFault(error: unknown): void;
}

/** What the service is made of: it keeps the database over every reload. */
export interface ServiceParts {
  db: Db;
  log: Logger;
  now(): number;
  /** What the page shows of the daemon to those who watch over it. */
  view: MonitoringView;
  /** Holds that the store has refused: they outlive a reload. */
  unwrittenHolds: UnwrittenHolds;
  /** Makes what answers at the page's address. */
  makeServer(served: ServedParts): Promise<FastifyInstance>;
  /** Opens what works out plans and previews with a config; left out: this process does. */
  openReckoner?(config: LoadedConfig): Reckoner;
  /** Has the config read again, as the page asks after it wrote one; left out: nobody can. */
  askReload?(): void;
  /** How outputs are opened; left out: in this thread. */
  openOutput?: OpenOutput;
  /** How the page is served; left out: in this thread. */
  servePage?: ServePage;
  /** Told which outputs there are, and can be stopped, after each start. */
  onOutputs?(outputs: StoppableOutput[]): void;
}

/** What stops are kept with now: it changes under them with every reload. */
interface Now {
  daemon: Daemon | null;
  config: LoadedConfig;
}

/** What is in use now; each reload makes it anew. */
interface Running {
  config: LoadedConfig;
  configReadMs: number;
  page: PageKeeper;
  daemon: Daemon;
  reckoner: Reckoner;
}

/** The daemon with its page, restarted in place when the config is read again. */
export interface Service {
  config(): LoadedConfig;
  configReadMs(): number;
  daemon(): Daemon;
  pageUrl(): string | null;
  /** Gives the store a stop that went to the outputs first. */
  keepStop(stop: UnwrittenHold): KeptStop;
  /** Stops what is in use and starts it with another config of the same data folder. */
  restart(config: LoadedConfig): Promise<void>;
  stop(): Promise<void>;
}

/** Starts the page first and then the daemon: what is away is shown there and not waited for. */
export async function startService(config: LoadedConfig, parts: ServiceParts): Promise<Service> {
  waitBriefly(parts.db);
  const now: Now = { daemon: null, config };
  let running = await startRunning(config, parts, { now, port: null });
  return {
    config: () => running.config,
    configReadMs: () => running.configReadMs,
    daemon: () => running.daemon,
    pageUrl: () => running.page.url(),
    keepStop: (stop) => keepStop(stop, parts, now),
    async restart(next) {
      const before = running;
      const port = before.page.port();
      before.page.changing?.();
      await stopRunning(before);
      const samePlace =
        next.page.address === before.config.page.address &&
        next.page.port === before.config.page.port;
      try {
        running = await startRunning(next, parts, { now, port: samePlace ? port : null });
      } catch (error) {
        running = await startRunning(before.config, parts, { now, port });
        throw error;
      } finally {
        void running.daemon.nudge();
      }
    },
    async stop() {
      await stopRunning(running);
      for (const { who, why } of parts.unwrittenHolds) {
        parts.log.error(
          `hold by ${who} (${why}): could not be written to the end and is forgotten now; put it on again before anything is confirmed`,
        );
      }
    },
  };
}

async function startRunning(
  config: LoadedConfig,
  parts: ServiceParts,
  before: { now: Now; port: number | null },
): Promise<Running> {
  const { db, log, now, view } = parts;
  bindStore(db, config, now());
  const place: PagePlace = { ...config.page, port: before.port ?? config.page.port };
  Object.assign(before.now, { config, daemon: null });
  const memory = weatherMemory(db);
  const weather = openWeather(config, undefined, { now, memory, log });
  const reckoner = parts.openReckoner?.(config) ?? reckonerHere({ db, config, weather });
  const onFault = (error: unknown) => log.error({ err: error }, 'page: could not answer');
  const { unwrittenHolds, openOutput, servePage = serveHere } = parts;
  let daemon: Daemon | null = null;
  const desk = stopDispatcher(() =>
    daemon === null ? config.outputs.map(({ name }) => starting(name)) : targetsOf(daemon),
  );
  const stopWater = async (asked: StopRequest): Promise<StopDone> => {
    const { stopNo, stoppedAt } = desk.stop(asked);
    // The store may take it while the outputs stop: on a full disk, what they give up is room.
    let written: WrittenHold | null = null;
    const onWritten = (hold: WrittenHold) => {
      written = hold;
    };
    const { why } = keepStop({ ...asked, stopNo, onWritten }, parts, before.now);
    const stopped = await stoppedAt;
    const outcome: StopOutcome = {
      beds: asked.beds,
      stoppedAt: stopped,
      unwritten: written === null ? why : null,
      keeper: 'daemon',
    };
    return { outcome, written };
  };
  const askReload = () => parts.askReload?.();
  const web = { db, config, weather, now, reckoner, view, stopWater, onFault };
  const make = () => parts.makeServer(parts.askReload === undefined ? web : { ...web, askReload });
  const page = await servePage(make, place, { config, log });
  try {
    daemon = await startDaemon({
      config,
      db,
      weather,
      log,
      now,
      reckoner,
      unwrittenHolds,
      ...(openOutput === undefined ? {} : { openOutput }),
      onLeft: () => {
        if (daemon !== null) parts.onOutputs?.(targetsOf(daemon));
      },
    });
    before.now.daemon = daemon;
    parts.onOutputs?.(targetsOf(daemon));
    return { config, configReadMs: now(), page, daemon, reckoner };
  } catch (error) {
    reckoner.stop();
    await page.stop();
    throw error;
  }
}

/** Before an output is open. */
function starting(name: string): StopTarget {
  const answer: Answer = { kind: 'unknown', detail: 'the daemon is starting' };
  return { name, stopNow: async () => answer };
}

/** Every way to stop an output, those of places that were left among them. */
function targetsOf(daemon: Daemon): StoppableOutput[] {
  return [...daemon.outputs.values(), ...daemon.left().map(({ output }) => output)];
}

/** The store is told after the outputs; what it refuses now waits, in its place, until it takes it. */
function keepStop(stop: UnwrittenHold, { db, unwrittenHolds }: ServiceParts, inUse: Now): KeptStop {
  let written: WrittenHold | null = null;
  unwrittenHolds.push({
    ...stop,
    onWritten(hold) {
      written = hold;
      for (const output of inUse.daemon?.outputs.values() ?? []) output.storeKnows(stop.stopNo);
      stop.onWritten?.(hold);
    },
  });
  try {
    const { clock, outputs } = inUse.config;
    writeHolds(unwrittenHolds, { db, clock, outputs: outputs.map(({ name }) => name) });
  } catch (error) {
    return { written: null, why: error instanceof Error ? error.message : String(error) };
  }
  return written === null ? { written, why: 'earlier stops wait' } : { written, why: null };
}

const serveHere: ServePage = (make, place, { log }) => keepPage(make, place, { log });

async function stopRunning({ daemon, page, reckoner }: Running): Promise<void> {
  // What is being worked out is given up, so that no job is waited for.
  reckoner.stop();
  await daemon.stop();
  await page.stop();
}

/** Puts a line about the service into the store's log, if the store takes it. */
export function logServiceStep(
  { db, log, now }: ServiceParts,
  step: { kind: AuditKind; what: string },
): void {
  try {
    addAuditEntry(db, { ...step, atMs: now(), who: DAEMON });
  } catch (error) {
    log.error({ err: error }, `${step.kind}: could not be written to the log of the store`);
  }
}

/** What came of reading the config again: the problems for which it was refused, or none. */
export type Reloaded = { ok: true } | { ok: false; problems: string[] };

/**
 * Reads the config again and restarts the service with it, in place. A config that is wrong changes
 * nothing: the last good one goes on, and every problem is logged.
 */
export async function reload(
  service: Service,
  parts: ServiceParts,
  readConfig: () => ConfigResult,
): Promise<Reloaded> {
  const { log } = parts;
  const refused = (problems: string[]): Reloaded => {
    for (const problem of problems) log.error(`config: ${problem}`);
    const what = `${problems.length} problem(s); the config read before goes on`;
    log.error(`reload refused: ${what}`);
    logServiceStep(parts, { kind: 'reload_refused', what: `${what}: ${problems[0] ?? ''}` });
    return { ok: false, problems };
  };
  const judged = judge(readConfig(), service.config());
  if (!judged.ok) return refused(judged.problems);
  log.info('config read again: it is sound; outputs and jobs start anew');
  try {
    await service.restart(judged.config);
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    return refused([`the daemon cannot be started with it (got ${why}); correct what it names`]);
  }
  logServiceStep(parts, { kind: 'reloaded', what: judged.config.sources.join(', ') });
  return { ok: true };
}

type Judged = { ok: true; config: LoadedConfig } | { ok: false; problems: string[] };

/**
 * A daemon's memory cannot be changed under it, nor given to another site: either needs another
 * start.
 */
function judge(read: ConfigResult, inUse: LoadedConfig): Judged {
  if (!read.ok) return { ok: false, problems: read.problems.map(problemText) };
  const { dataFolder, site } = read.config;
  const problems: string[] = [];
  if (dataFolder !== inUse.dataFolder) {
    problems.push(
      `data_folder: cannot change while the daemon runs (got ${dataFolder}, in use is ${inUse.dataFolder}); stop the daemon and start it again`,
    );
  }
  if (site.id !== inUse.site.id && dataFolder === inUse.dataFolder) {
    problems.push(
      `site.id: this data folder belongs to the site ${inUse.site.id} (got ${site.id}); name a data_folder of its own for ${site.id} and start a daemon there`,
    );
  }
  return problems.length === 0 ? read : { ok: false, problems };
}
