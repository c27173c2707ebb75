import type { Logger } from 'pino';
import { type Db, writeFault } from '../site/store/database.ts';
import {
  type DaemonStatus,
  HEARTBEAT_MS,
  writeDaemonStatus,
} from '../site/store/running-daemon.ts';
import { type FileRole, goneFiles } from '../site/store/store-faults.ts';
import { unhealthyRounds } from './jobs/job.ts';
import type { ReadinessFacts } from './monitoring.ts';
import type { Service } from './service.ts';
import type { ServiceNotifier } from './service-notifier.ts';

/** The beat of a running daemon. */
export interface Heartbeat {
  /** Writes the status now; problems of a refused config stay until the next reload. */
  beat(): void;
  status(): DaemonStatus;
  readiness(): ReadinessFacts;
  configProblems: string[];
  stop(): void;
}

/** Writes the daemon's status again and again, and tells the service manager that all is well. */
export function startHeartbeat(given: {
  service: Service;
  db: Db;
  log: Logger;
  now(): number;
  notifier: ServiceNotifier;
}): Heartbeat {
  const { service, db, log, now, notifier } = given;
  const startedMs = now();
  let databaseFault: string | null = null;
  let gone: Record<FileRole, string | null> = { database: null, lock: null };
  let told = '';
  let wroteMs: number | null = null;

  const unhealthy = () =>
    unhealthyRounds(service.daemon().rounds(), {
      nowMs: now(),
      startedMs: Math.max(startedMs, service.configReadMs()),
    });

  function probe(): void {
    gone = goneFiles(db);
    databaseFault = writeFault(db);
  }

  function status(): DaemonStatus {
    const { clock } = service.config();
    const daemon = service.daemon();
    const at = (instantMs: number | null) => (instantMs === null ? null : clock.isoOf(instantMs));
    return {
      format: 'dewbeat-status',
      format_version: 1,
      pid: process.pid,
      started_at: clock.isoOf(startedMs),
      heartbeat_at: clock.isoOf(now()),
      config_read_at: clock.isoOf(service.configReadMs()),
      config_problems: heartbeat.configProblems,
      page: service.pageUrl(),
      outputs: [...daemon.outputs.values()].map((one) => ({ output: one.name, ...one.health() })),
      read_back: [...daemon.seen].flatMap(([output, { fault, unseenSinceMs, putRightMs }]) =>
        fault === '' && unseenSinceMs === null && putRightMs.length === 0
          ? []
          : [
              {
                output,
                detail: fault,
                unseen_since: at(unseenSinceMs),
                put_right_of_late: putRightMs.length,
              },
            ],
      ),
      left_places: daemon.left().map(({ place, fault }) => ({
        place: place.place,
        detail: fault ?? 'it is being emptied',
      })),
      duties: daemon.rounds().map((one) => ({
        duty: one.name,
        running_since: at(one.runningSinceMs),
        last_ended_at: at(one.lastEndedMs),
        took_s: one.tookMs === null ? null : one.tookMs / 1000,
        fault: one.fault,
        faults_in_a_row: one.faultsInARow,
      })),
      unhealthy: unhealthy(),
      database_fault: databaseFault,
      database_gone: gone.database,
      lock_gone: gone.lock,
    };
  }

  const heartbeat: Heartbeat = {
    configProblems: [],
    status,
    readiness: () => ({ databaseFault, gone, unhealthy: unhealthy(), wroteMs }),
    beat() {
      probe();
      try {
        writeDaemonStatus(service.config().dataFolder, status());
        wroteMs = now();
        told = '';
      } catch (error) {
        const why = error instanceof Error ? error.message : String(error);
        if (why !== told) {
          log.error(
            `status: cannot be written (got ${why}); free some space or mend the folder's rights`,
          );
        }
        told = why;
      }
    },
    stop() {
      for (const timer of timers) clearInterval(timer);
    },
  };

  const timers = [setInterval(() => heartbeat.beat(), HEARTBEAT_MS)];
  if (notifier.watchdogMs !== null) {
    timers.push(
      setInterval(() => {
        const wrong = unhealthy();
        if (wrong.length === 0) notifier.tell('WATCHDOG=1');
        else log.error({ wrong }, 'watchdog: not told that all is well');
      }, notifier.watchdogMs / 2),
    );
  }
  heartbeat.beat();
  return heartbeat;
}
