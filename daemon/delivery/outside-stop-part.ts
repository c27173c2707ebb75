import type { AdapterLog, Answer, ConfirmedPlan, Output } from '../../adapters/contract.ts';
import type { DisplayUnits } from '../../adapters/display-units.ts';
import { createOutput } from '../../adapters/outputs/list.ts';
import type { OutputConfig } from '../site/config/connections.ts';
import { refuseOtherSite } from '../site/gate/bind-store.ts';
import { holdWater, planInForce, standingPlan } from '../site/gate/gate.ts';
import { type Db, openDatabase } from '../site/store/database.ts';
import { addAttempt } from '../site/store/outbox.ts';
import { refuseLost } from '../site/store/running-daemon.ts';
import { siteClock } from '../site/time/site-clock.ts';
import { within } from '../within.ts';
import { paperOn } from '../words/plan-card.ts';
import { NO_RUNS } from './open-outputs.ts';
import type { StopRequest } from './stop-now.ts';

/**
 * One part of a stop from the command line. Each is done in a process of its own: whatever hangs in
 * it, the disk or a broker, keeps neither the other parts nor the command from coming to their end.
 */
export type StopTask =
  | {
      part: 'output';
      stop: StopRequest;
      siteId: string;
      zone: string;
      units: DisplayUnits;
      stationsAtOnce: number;
      output: OutputConfig;
      baseFolder: string;
      /** The order under which the store knows the stop; null: it does not. */
      orderId: string | null;
      /** What goes on besides; null: nothing, or nobody can say. */
      remaining: ConfirmedPlan | null;
    }
  | {
      part: 'store';
      stop: StopRequest;
      siteId: string;
      zone: string;
      dataFolder: string;
      outputs: string[];
    }
  | { part: 'answers'; orderId: string; answers: { output: string; answer: Answer }[] };

export type StopTaskResult =
  | { part: 'output'; answer: Answer }
  | { part: 'store'; orderId: string; remaining: ConfirmedPlan | null }
  | { part: 'store'; orderId: null; why: string; remaining: ConfirmedPlan | null }
  | { part: 'answers' };

const SILENT: AdapterLog = { info: () => {}, warn: () => {}, error: () => {} };
const TRY_AGAIN_MS = 200;
const LOOK_PATIENCE_MS = 900;
const LOOK_AGAIN_MS = 50;
const OUTPUT_PATIENCE_MS = 2_000;
/** Whoever else writes to the store is waited for as long as the command waits. */
const STORE_PATIENCE_MS = 1_800;

/** Whoever does parts of a stop, one after the other. */
export interface StopWorker {
  do(work: StopTask): Promise<StopTaskResult>;
  /** Lets go of the store. */
  leave(): void;
}

export function stopWorker(): StopWorker {
  const kept: { db: Db | null } = { db: null };
  return {
    async do(work) {
      try {
        return work.part === 'output' ? await stopOutput(work) : inStore(work, kept);
      } catch (error) {
        const detail = error instanceof Error ? error.message : String(error);
        if (work.part === 'output') return { part: 'output', answer: { kind: 'unknown', detail } };
        return { part: 'store', orderId: null, why: detail, remaining: null };
      }
    },
    leave() {
      kept.db?.close();
      kept.db = null;
    },
  };
}

async function stopOutput(work: Extract<StopTask, { part: 'output' }>): Promise<StopTaskResult> {
  const { stop, siteId, output: config } = work;
  const clock = siteClock(work.zone);
  // A daemon that hangs has its connection all the same: this is not the same client.
  const own =
    config.output === 'mqtt'
      ? { ...config, client_id: `dewbeat-stop-${siteId}-${process.pid}` }
      : config;
  const output = await createOutput(
    own,
    {
      siteId,
      clock,
      units: work.units,
      paper: paperOn(clock),
      log: SILENT,
      baseFolder: work.baseFolder,
      now: () => stop.atMs,
      stationsAtOnce: work.stationsAtOnce,
      runMemory: () => NO_RUNS,
      report: () => undefined,
    },
    { ownThread: true },
  );
  await within(output.start(), OUTPUT_PATIENCE_MS);
  const orderId = work.orderId ?? `stop-${stop.atMs}-${stop.atMs}`;
  const { who, why, atMs } = stop;
  const remaining = work.remaining !== null && (await waters(output)) ? work.remaining : null;
  const beds = remaining === null ? 'all' : stop.beds;
  const siteDay = clock.siteDayOf(atMs);
  const withdrawal = { siteId, siteDay, beds, who, why, atMs, remaining };
  let answer: Answer = { kind: 'unknown', detail: 'no answer' };
  for (const endMs = performance.now() + OUTPUT_PATIENCE_MS; performance.now() < endMs; ) {
    answer = await output.withdraw(orderId, withdrawal);
    if (answer.kind !== 'unknown') break;
    await new Promise((resolve) => setTimeout(resolve, TRY_AGAIN_MS));
  }
  if (answer.kind === 'accepted' && beds === 'all' && stop.beds !== 'all') {
    answer = { kind: 'accepted', detail: `${answer.detail}; every bed, to be safe` };
  }
  void within(output.stop(), 1_000);
  return { part: 'output', answer };
}

/**
 * Whether runs stand at an output now. Where none do, or nobody can see, a stop of some beds must not
 * bring those of the others there: the output may have been moved, or emptied by somebody.
 */
async function waters(output: Output): Promise<boolean> {
  for (const endMs = performance.now() + LOOK_PATIENCE_MS; performance.now() < endMs; ) {
    const found = await output.find(null);
    if (found.kind !== 'unseen') return found.kind === 'other' && (found.order?.runsAhead ?? 0) > 0;
    await new Promise((resolve) => setTimeout(resolve, LOOK_AGAIN_MS));
  }
  return false;
}

function inStore(
  work: Exclude<StopTask, { part: 'output' }>,
  kept: { db: Db | null },
): StopTaskResult {
  if (work.part === 'answers') {
    const { db } = kept;
    if (db === null) return { part: 'answers' };
    for (const { output, answer } of work.answers) {
      addAttempt(db, {
        ...work,
        output,
        atMs: Date.now(),
        answer: answer.kind,
        detail: answer.detail,
      });
    }
    return { part: 'answers' };
  }
  const { stop, outputs } = work;
  refuseLost(work.dataFolder);
  const db = openDatabase(work.dataFolder);
  refuseOtherSite(db, work);
  kept.db = db;
  db.pragma(`busy_timeout = ${STORE_PATIENCE_MS}`);
  const { who, why, beds, untilMs, atMs } = stop;
  const before = readable(() => planInForce(db, atMs));
  try {
    const { orderId } = holdWater(
      { db, clock: siteClock(work.zone), outputs, nowMs: atMs },
      { who, why, beds, untilMs },
    );
    return { part: 'store', orderId, remaining: readable(() => remainingOf(db, orderId)) };
  } catch (error) {
    const why = error instanceof Error ? error.message : String(error);
    return { part: 'store', orderId: null, why, remaining: before };
  }
}

/** What still stands of the plan in force behind a hold that was just written. */
function remainingOf(db: Db, orderId: string): ConfirmedPlan | null {
  const row = db
    .prepare('SELECT confirmation_id AS id FROM owed WHERE order_id = ? LIMIT 1')
    .get(orderId) as { id: number | null } | undefined;
  return row?.id == null ? null : standingPlan(db, row.id);
}

function readable<T>(read: () => T): T | null {
  try {
    return read();
  } catch {
    return null;
  }
}
