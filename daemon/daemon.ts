import cron, { type ScheduledTask } from 'node-cron';
import type { Logger } from 'pino';
import type { Output } from '../adapters/contract.ts';
import type { WeatherSource } from '../adapters/weather/source.ts';
import type { LoadedConfig } from './config/loaded-config.ts';
import { deliverOwed } from './delivery/deliver-owed.ts';
import { openOutputs } from './delivery/open-outputs.ts';
import { makePlan } from './planning/make-plan.ts';
import type { Db } from './store/database.ts';
import { addFieldReport } from './store/field-reports.ts';
import { hasMorningPlan, type StoredPlan } from './store/plans.ts';
import { addStep, DAEMON } from './store/steps.ts';
import { owedMorning } from './time/due.ts';

/** What a running daemon is made of. */
export interface DaemonParts {
  config: LoadedConfig;
  db: Db;
  weather: WeatherSource;
  log: Logger;
  now(): number;
  /** Called with each plan that the daemon makes. */
  onPlan?(stored: StoredPlan): void;
}

export interface Daemon {
  outputs: ReadonlyMap<string, Output>;
  /** Does what is owed now; the clock calls it, tests call it themselves. */
  nudge(): Promise<void>;
  stop(): Promise<void>;
}

/** Deliveries are looked for this often: a hold from another process waits no longer. */
const LOOK_FOR_ORDERS_MS = 500;
/** A plan that could not be made is tried again after this long. */
const TRY_PLAN_AGAIN_MS = 60_000;

/**
 * Starts the daemon: a nudge every minute, in UTC so that no clock change swallows one, and a look
 * for owed orders twice a second. Nudges decide nothing: what is owed follows from the store, the
 * config and the instant, so a late or doubled nudge does no harm.
 */
export async function startDaemon(parts: DaemonParts): Promise<Daemon> {
  const { config, db, weather, log, now } = parts;
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

  let stopping = false;
  let triedPlanMs = Number.NEGATIVE_INFINITY;

  const morning = async () => {
    const rule = { ...config, ...config.site };
    const day = owedMorning(now(), rule, (one) => hasMorningPlan(db, one));
    if (day === null || now() - triedPlanMs < TRY_PLAN_AGAIN_MS) return;
    triedPlanMs = now();
    try {
      const stored = await makePlan(
        { db, config, weather, nowMs: now() },
        { cause: 'morning', who: DAEMON, lift: 'none' },
      );
      triedPlanMs = Number.NEGATIVE_INFINITY;
      log.info(
        { siteDay: day, revision: stored.plan.revision, digest: stored.digest.slice(0, 8) },
        'morning plan made, held until a person confirms it',
      );
      parts.onPlan?.(stored);
    } catch (error) {
      const what = error instanceof Error ? error.message : String(error);
      log.error({ siteDay: day }, `no morning plan: ${what}`);
      addStep(db, { atMs: now(), kind: 'plan_failed', who: DAEMON, siteDay: day, what });
    }
  };
  const deliver = async () => {
    const done = await deliverOwed({
      db,
      siteId: config.site.id,
      clock: config.clock,
      outputs,
      now,
    });
    for (const { order, answer } of done) {
      const line = { order: order.orderId, output: order.output, answer: answer.kind };
      if (answer.kind === 'accepted') log.info(line, answer.detail);
      else log.warn(line, answer.detail);
    }
  };
  const guarded = (work: () => Promise<void>) =>
    oneAtATime(work, (error) => {
      log.error({ err: error }, 'a round failed; the next one tries again');
    });
  const nudgeMorning = guarded(morning);
  const nudgeOrders = guarded(deliver);

  const task: ScheduledTask = cron.schedule('* * * * *', () => nudgeMorning(), {
    timezone: 'UTC',
    name: 'minute',
  });
  const timer = setInterval(() => void nudgeOrders(), LOOK_FOR_ORDERS_MS);
  return {
    outputs,
    async nudge() {
      await nudgeMorning();
      await nudgeOrders();
    },
    async stop() {
      if (stopping) return;
      stopping = true;
      clearInterval(timer);
      await task.stop();
      await nudgeOrders.settled();
      await Promise.all([...outputs.values()].map((output) => output.stop()));
      addStep(db, { atMs: now(), kind: 'stopped', who: DAEMON, what: 'asked to stop' });
    },
  };
}

/** Wraps work so that it never overlaps itself and never throws. */
function oneAtATime(
  work: () => Promise<void>,
  onError: (error: unknown) => void,
): (() => Promise<void>) & { settled(): Promise<void> } {
  let running: Promise<void> | null = null;
  const run = () => {
    running ??= work()
      .catch(onError)
      .finally(() => {
        running = null;
      });
    return running;
  };
  return Object.assign(run, { settled: async () => running ?? undefined });
}
