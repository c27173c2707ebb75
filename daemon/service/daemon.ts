import cron from 'node-cron';
import type { Output, StoppableOutput } from '../../adapters/contract.ts';
import { baseFolderOf, leftPlaces, rememberPlaces } from '../delivery/earlier-configs.ts';
import { type OutputHooks, openHere, openOutputs, runMemory } from '../delivery/open-outputs.ts';
import { readBackMemory } from '../delivery/read-back.ts';
import { reportIntake } from '../delivery/report-intake.ts';
import { addAuditEntry, DAEMON } from '../site/store/audit-log.ts';
import { within } from '../within.ts';
import type { DaemonParts } from './daemon-parts.ts';
import { type RoundRecord, recordedRound } from './jobs/job.ts';
import { type JobMemory, jobsOf } from './jobs/list.ts';
import type { OpenLeftPlace } from './jobs/output-jobs.ts';
import { MORNING_PLAN } from './jobs/planning-jobs.ts';

export interface Daemon {
  outputs: ReadonlyMap<string, StoppableOutput>;
  /** Places that no output of the config writes to any more and that are not known to be empty. */
  left(): readonly OpenLeftPlace[];
  /** What reading back has shown of each output. */
  seen: JobMemory['readBack']['seen'];
  /** Does what is owed now; the clock calls it, tests call it themselves. */
  nudge(): Promise<void>;
  /** Ends when no morning plan is being worked out, however long that takes. */
  morningSettled(): Promise<void>;
  /** How each job has fared, in the order of a nudge. */
  rounds(): readonly RoundRecord[];
  stop(): Promise<void>;
}

/** An output that does not come back from its start in this time is left to itself. */
const START_PATIENCE_MS = 2_000;
/** A job that takes longer lets the ones behind it begin their round of the minute. */
const ROUND_PATIENCE_MS = 10_000;
/** Rounds under way and outputs get this long each to come to an end: both fit below ten seconds. */
const STOP_PATIENCE_MS = 3_000;

/**
 * Starts the daemon: its outputs, and its jobs, each woken by a minute that is counted in UTC, so
 * that no clock change swallows one, or at an interval of its own. Nothing here waits for an output
 * or for weather that is away: jobs try again.
 */
export async function startDaemon(parts: DaemonParts): Promise<Daemon> {
  const { config, db, log, now } = parts;
  const intake = reportIntake({ db, log, now });
  const hooks: OutputHooks = {
    now,
    log,
    runMemory: (output) => runMemory({ db, output, now }),
    report: intake.take,
  };
  const left = await openLeftPlaces(parts, hooks);
  const outputs = await openOutputs(config, hooks, parts.openOutput);
  const every = [...left.map(({ output }) => output), ...outputs.values()];
  await Promise.all(every.map((output) => startOutput(output, parts)));
  parts.weather.start?.();
  tell(parts, { kind: 'started', what: `site ${config.site.id}` });

  const memory: JobMemory = { readBack: readBackMemory(), left };
  const jobs = jobsOf({ ...parts, outputs }, memory).map((job) =>
    recordedRound(job, {
      now,
      onFault: (error) =>
        log.error({ err: error }, `${job.name}: failed; the next round tries again`),
    }),
  );
  let stopping = false;
  /** A store that is closed behind a stop has no use for the rounds that were still to come. */
  const inTurn = async (some: typeof jobs) => {
    for (const { round } of some) {
      if (stopping) return;
      await within(round(), ROUND_PATIENCE_MS);
    }
  };
  const minutely = jobs.filter(({ every }) => every === 'minute');
  const minute = cron.schedule('* * * * *', () => inTurn(minutely), {
    timezone: 'UTC',
    name: 'minute',
  });
  const timers = jobs.flatMap(({ every, round }) =>
    every === 'minute' ? [] : [setInterval(() => void round(), every.ms)],
  );

  return {
    outputs,
    left: () => left,
    seen: memory.readBack.seen,
    nudge: () => inTurn(jobs),
    morningSettled: async () =>
      jobs.find(({ record }) => record.name === MORNING_PLAN)?.round.settled(),
    rounds: () => jobs.map(({ record }) => record),
    async stop() {
      if (stopping) return;
      stopping = true;
      for (const timer of timers) clearInterval(timer);
      await minute.stop();
      const settled = Promise.all(jobs.map(({ round }) => round.settled()));
      const ended = await within(settled, STOP_PATIENCE_MS);
      if (!ended.ended) log.warn('stop: a job is still under way; it is not waited for');
      const stops = every.map((output) => stopOutput(output, parts));
      await Promise.all([...stops, stopWeather(parts)]);
      await intake.close();
      tell(parts, { kind: 'stopped', what: 'asked to stop' });
    },
  };
}

/**
 * Opens what earlier configs wrote to and nobody has emptied since, and remembers where this one
 * writes to: both before anything new goes out. A store that refuses keeps no daemon from starting.
 */
async function openLeftPlaces(parts: DaemonParts, hooks: OutputHooks): Promise<OpenLeftPlace[]> {
  const { config, db, log, now, openOutput = openHere } = parts;
  const opened: OpenLeftPlace[] = [];
  try {
    for (const place of leftPlaces(db, config)) {
      if (place.made === null) continue;
      const { placeId } = place;
      const made =
        place.made.output === 'mqtt'
          ? { ...place.made, client_id: `dewbeat-${config.site.id}-left-${placeId}` }
          : place.made;
      const facts = { ...config, baseFolder: baseFolderOf(place) };
      // Nothing runs from such a place any more, so it has no runs to remember.
      const output = await openOutput(made, facts, { now, log, report: hooks.report });
      opened.push({ place, output, fault: 'it has not been emptied yet' });
    }
    rememberPlaces(db, config, now());
  } catch (error) {
    log.error({ err: error }, 'outputs: where they write to could not be remembered');
  }
  return opened;
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
    addAuditEntry(db, { ...step, atMs: now(), who: DAEMON });
  } catch (error) {
    log.error({ err: error }, `${step.kind}: could not be written to the log of the store`);
  }
}
