import cron from 'node-cron';
import type { Output } from '../adapters/contract.ts';
import { openOutputs } from './delivery/open-outputs.ts';
import { dutiesOf } from './duties/list.ts';
import { oneAtATime } from './one-at-a-time.ts';
import type { DaemonParts } from './parts.ts';
import { addFieldReport } from './store/field-reports.ts';
import { addStep, DAEMON } from './store/steps.ts';

export interface Daemon {
  outputs: ReadonlyMap<string, Output>;
  /** Does what is owed now; the clock calls it, tests call it themselves. */
  nudge(): Promise<void>;
  stop(): Promise<void>;
}

/**
 * Starts the daemon: its outputs, and its duties, each woken by a minute that is counted in UTC, so
 * that no clock change swallows one, or at an interval of its own.
 */
export async function startDaemon(parts: DaemonParts): Promise<Daemon> {
  const { config, db, log, now } = parts;
  const outputs = await openOutputs(config, {
    now,
    log,
    report: (report) => {
      addFieldReport(db, report, now());
      log.info({ report }, 'report from the field');
    },
  });
  await Promise.all([...outputs.values()].map((output) => output.start()));
  addStep(db, { atMs: now(), kind: 'started', who: DAEMON, what: `site ${config.site.id}` });

  const duties = dutiesOf({ ...parts, outputs }).map(({ name, every, work }) => ({
    every,
    round: oneAtATime(work, (error) => {
      log.error({ err: error }, `${name}: failed; the next round tries again`);
    }),
  }));
  const minutely = duties.filter(({ every }) => every === 'minute');
  const minute = cron.schedule(
    '* * * * *',
    async () => {
      for (const { round } of minutely) await round();
    },
    { timezone: 'UTC', name: 'minute' },
  );
  const timers = duties.flatMap(({ every, round }) =>
    every === 'minute' ? [] : [setInterval(() => void round(), every.ms)],
  );

  let stopping = false;
  return {
    outputs,
    async nudge() {
      for (const { round } of duties) await round();
    },
    async stop() {
      if (stopping) return;
      stopping = true;
      for (const timer of timers) clearInterval(timer);
      await minute.stop();
      await Promise.all(duties.map(({ round }) => round.settled()));
      await Promise.all([...outputs.values()].map((output) => output.stop()));
      addStep(db, { atMs: now(), kind: 'stopped', who: DAEMON, what: 'asked to stop' });
    },
  };
}
