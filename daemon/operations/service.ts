import type { Logger } from 'pino';
import type { Answer } from '../../adapters/contract.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { type Daemon, startDaemon } from '../daemon.ts';
import { readableInForce, stopWithoutStore } from '../delivery/stop-without-store.ts';
import type { UnwrittenHold, UnwrittenHolds } from '../delivery/unwritten-holds.ts';
import { openWeather } from '../planning/open-weather.ts';
import type { Db } from '../store/database.ts';
import { addStep, DAEMON, type StepKind } from '../store/steps.ts';
import { weatherMemory } from '../store/weather-readings.ts';
import type { Sessions } from '../web/safety/sessions.ts';
import { webServer } from '../web/server.ts';
import type { OperationsView } from './operations-view.ts';
import { keepPage, type PageKeeper, type PagePlace } from './page-keeper.ts';

/** What the service is made of: it keeps the database over every reload. */
export interface ServiceParts {
  db: Db;
  log: Logger;
  now(): number;
  /** What the page shows of the daemon to those who watch over it. */
  view: OperationsView;
  /** Holds that the store has refused: they outlive a reload. */
  unwrittenHolds: UnwrittenHolds;
  /** Who has signed in at the page: they stay so over a reload that leaves them as they were. */
  signIns: Sessions;
  /** Has the config read again, as the page asks after it wrote one; left out: nobody can. */
  askReload?(): void;
}

/** What an output answers before it is open. */
const STARTING: Answer = { kind: 'unknown', detail: 'the daemon is starting' };

/** What is in use now; each reload makes it anew. */
interface Running {
  config: LoadedConfig;
  configReadMs: number;
  page: PageKeeper;
  daemon: Daemon;
}

/** The daemon with its page, restarted in place when the config is read again. */
export interface Service {
  config(): LoadedConfig;
  configReadMs(): number;
  daemon(): Daemon;
  pageUrl(): string | null;
  /** Stops what is in use and starts it with another config of the same data folder. */
  restart(config: LoadedConfig): Promise<void>;
  stop(): Promise<void>;
}

/** Starts the page first and then the daemon: what is away is shown there and not waited for. */
export async function startService(config: LoadedConfig, parts: ServiceParts): Promise<Service> {
  let running = await startRunning(config, parts, null);
  return {
    config: () => running.config,
    configReadMs: () => running.configReadMs,
    daemon: () => running.daemon,
    pageUrl: () => running.page.url(),
    async restart(next) {
      const before = running;
      const port = before.page.port();
      await stopRunning(before);
      const samePlace =
        next.page.address === before.config.page.address &&
        next.page.port === before.config.page.port;
      try {
        running = await startRunning(next, parts, samePlace ? port : null);
      } catch (error) {
        running = await startRunning(before.config, parts, port);
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
  keptPort: number | null,
): Promise<Running> {
  const { db, log, now, view, signIns } = parts;
  const place: PagePlace = { ...config.page, port: keptPort ?? config.page.port };
  const memory = weatherMemory(db);
  const weather = openWeather(config, undefined, { now, memory, log });
  const onFault = (error: unknown) => log.error({ err: error }, 'page: could not answer');
  const { unwrittenHolds } = parts;
  let daemon: Daemon | null = null;
  const stopUnwritten = async (hold: UnwrittenHold) => {
    unwrittenHolds.push(hold);
    if (daemon === null) return new Map(config.outputs.map(({ name }) => [name, STARTING]));
    const remaining = readableInForce(db, hold.atMs);
    const beds = remaining === null ? 'all' : hold.beds;
    return stopWithoutStore(daemon.outputs, config, { ...hold, beds, remaining });
  };
  const askReload = () => parts.askReload?.();
  const web = { db, config, weather, now, view, signIns, stopUnwritten, onFault };
  const make = () => webServer(parts.askReload === undefined ? web : { ...web, askReload });
  const page = await keepPage(make, place, { log });
  try {
    daemon = await startDaemon({ config, db, weather, log, now, unwrittenHolds });
    return { config, configReadMs: now(), page, daemon };
  } catch (error) {
    await page.stop();
    throw error;
  }
}

async function stopRunning({ daemon, page }: Running): Promise<void> {
  await daemon.stop();
  await page.stop();
}

/** Puts a line about the service into the store's log, if the store takes it. */
export function tellStep(
  { db, log, now }: ServiceParts,
  step: { kind: StepKind; what: string },
): void {
  try {
    addStep(db, { ...step, atMs: now(), who: DAEMON });
  } catch (error) {
    log.error({ err: error }, `${step.kind}: could not be written to the log of the store`);
  }
}
