import cron from 'node-cron';
import type { Output } from '../adapters/contract.ts';
import { openOutputs } from './delivery/open-outputs.ts';
import { runMemory } from './delivery/run-memory.ts';
import { dutiesOf } from './duties/list.ts';
import { type RoundRecord, recordedRound } from './operations/recorded-round.ts';
import type { DaemonParts } from './parts.ts';
import { addFieldReport } from './store/field-reports.ts';
import { addStep, DAEMON } from './store/steps.ts';
import { within } from './within.ts';

export interface Daemon {
  outputs: ReadonlyMap<string, Output>;
  /** Does what is owed now; the clock calls it, tests call it themselves. */
  nudge(): Promise<void>;
  /** How each duty has fared, in the order of a nudge. */
  rounds(): readonly RoundRecord[];
  stop(): Promise<void>;
}

/** An output that does not come back from its start in this time is left to itself. */
const START_PATIENCE_MS = 2_000;
/** A duty that takes longer lets the ones behind it begin their round of the minute. */
const ROUND_PATIENCE_MS = 10_000;
/** Rounds under way and outputs get this long each to come to an end: both fit below ten seconds. */
const STOP_PATIENCE_MS = 3_000;

/**
 * Starts the daemon: its outputs, and its duties, each woken by a minute that is counted in UTC, so
 * that no clock change swallows one, or at an interval of its own. Nothing here waits for an output
 * or for weather that is away: duties try again.
 */
export async function startDaemon(parts: DaemonParts): Promise<Daemon> {
  const { config, db, log, now } = parts;
  const outputs = await openOutputs(config, {
    now,
    log,
    runMemory: (output) => runMemory({ db, output, now }),
    report: (report) => {
      addFieldReport(db, report, now());
      log.info({ report }, 'report from the field');
    },
  });
  await Promise.all([...outputs.values()].map((output) => startOutput(output, parts)));
  parts.weather.start?.();
  tell(parts, { kind: 'started', what: `site ${config.site.id}` });

  const duties = dutiesOf({ ...parts, outputs }).map((duty) =>
    recordedRound(duty, {
      now,
      onFault: (error) =>
        log.error({ err: error }, `${duty.name}: failed; the next round tries again`),
    }),
  );
  const minutely = duties.filter(({ every }) => every === 'minute');
  const minute = cron.schedule(
    '* * * * *',
    async () => {
      for (const { round } of minutely) await within(round(), ROUND_PATIENCE_MS);
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
      for (const { round } of duties) await within(round(), ROUND_PATIENCE_MS);
    },
    rounds: () => duties.map(({ record }) => record),
    async stop() {
      if (stopping) return;
      stopping = true;
      for (const timer of timers) clearInterval(timer);
      await minute.stop();
      const settled = Promise.all(duties.map(({ round }) => round.settled()));
      const ended = await within(settled, STOP_PATIENCE_MS);
      if (!ended.ended) log.warn('stop: a duty is still under way; it is not waited for');
      const stops = [...outputs.values()].map((output) => stopOutput(output, parts));
      await Promise.all([...stops, stopWeather(parts)]);
      tell(parts, { kind: 'stopped', what: 'asked to stop' });
    },
  };
}

async function startOutput(output: Output, { log }: DaemonParts): Promise<void> {
  const failed = (error: unknown) =>
    log.error({ err: error, output: output.name }, `${output.name}: could not be started`);
  const start = output.start().catch(failed);
  const { ended } = await within(start, START_PATIENCE_MS);
  if (!ended) log.warn({ output: output.name }, `${output.name}: is slow to start; not waited for`);
}

async function stopOutput(output: Output, { log }: DaemonParts): Promise<void> {
  const stop = output.stop().catch((error: unknown) => {
    log.warn({ err: error, output: output.name }, `${output.name}: could not be stopped in order`);
  });
  const { ended } = await within(stop, STOP_PATIENCE_MS);
  if (!ended) log.warn({ output: output.name }, `${output.name}: does not stop; left behind`);
}

async function stopWeather({ weather, log }: DaemonParts): Promise<void> {
  const stop = (weather.stop?.() ?? Promise.resolve()).catch((error: unknown) => {
    log.warn({ err: error }, 'weather: could not be stopped in order');
  });
  const { ended } = await within(stop, STOP_PATIENCE_MS);
  if (!ended) log.warn('weather: does not stop; left behind');
}

/** A log line that a full disk refuses must not keep the daemon from starting or stopping. */
function tell(
  { db, log, now }: DaemonParts,
  step: { kind: 'started' | 'stopped'; what: string },
): void {
  try {
    addStep(db, { ...step, atMs: now(), who: DAEMON });
  } catch (error) {
    log.error({ err: error }, `${step.kind}: could not be written to the log of the store`);
  }
}
