import { standingRuns } from '../../adapters/standing-runs.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { planInForce } from '../gate/gate.ts';
import { planDoubts } from '../gate/plan-doubts.ts';
import { type PlanStanding, planStanding } from '../gate/plan-standing.ts';
import { sayChanges } from '../gate/site-changes.ts';
import { standingAt } from '../gate/standing-keep-offs.ts';
import type { DaemonStatus } from '../store/daemon-status.ts';
import type { Db } from '../store/database.ts';
import { type DiskUse, diskUse } from '../store/disk.ts';
import { type Hold, openHolds } from '../store/holds.ts';
import { type PersonKeepOff, personKeepOffs } from '../store/keep-offs.ts';
import { newestOrders, type OrderState, openOrders } from '../store/owed.ts';
import { hasMorningPlan, newestPlan, type StoredPlan } from '../store/plans.ts';
import { type Receipt, receiptsOf } from '../store/receipts.ts';
import { newestStepOf, type Step } from '../store/steps.ts';
import { owedMorning } from '../time/due.ts';
import { type Driest, driestBed } from './driest-bed.ts';

/** An order with the last word of the receiver behind its output. */
export interface ReceivedOrder extends OrderState {
  /** Left out: the receiver has said nothing, or says nothing ever. */
  receipt?: Receipt;
}

/** A site as it stands: from the store alone, and from the daemon's last word where there is one. */
export interface SiteStatus {
  nowMs: number;
  siteDay: string;
  /** Whether a daemon holds the data folder. */
  running: boolean;
  /** What the daemon wrote last; null when none ever did. */
  daemon: DaemonStatus | null;
  heartbeatMs: number | null;
  newest: { stored: StoredPlan; standing: PlanStanding } | null;
  inForce: { siteDay: string; revision: number; digest: string; heldBedIds: string[] } | null;
  nextRun: Run | null;
  driest: Driest | null;
  /** Today's morning plan is owed and has not been made. */
  morningOwed: boolean;
  /** Why the last plan of today could not be made; null when one was made since. */
  planFault: Step | null;
  /** What speaks against the plan in force and the one that waits. */
  doubts: { altered: string[]; siteChanges: string[] };
  holds: Hold[];
  keepOffs: PersonKeepOff[];
  /** The newest order of each output. */
  orders: ReceivedOrder[];
  /** Orders that have not come to an end. */
  open: OrderState[];
  disk: DiskUse;
}

/** Reads how a site stands; changes nothing. */
export function siteStatus(given: {
  db: Db;
  config: LoadedConfig;
  nowMs: number;
  running: boolean;
  daemon: DaemonStatus | null;
}): SiteStatus {
  const { db, config, nowMs, running, daemon } = given;
  const { clock } = config;
  const siteDay = clock.siteDayOf(nowMs);
  const stored = newestPlan(db);
  const confirmed = planInForce(db, nowMs);
  const failed = newestStepOf(db, 'plan_failed');
  const madeMs = stored?.plan.madeAtMs ?? Number.NEGATIVE_INFINITY;
  return {
    nowMs,
    siteDay,
    running,
    daemon,
    heartbeatMs: daemon === null ? null : Date.parse(daemon.heartbeat_at),
    newest: stored === null ? null : { stored, standing: planStanding(db, stored) },
    inForce:
      confirmed === null
        ? null
        : {
            siteDay: confirmed.plan.siteDay,
            revision: confirmed.plan.revision,
            digest: confirmed.digest,
            heldBedIds: [...confirmed.heldBedIds],
          },
    nextRun:
      confirmed === null
        ? null
        : (standingRuns(confirmed).find((run) => run.startMs >= nowMs) ?? null),
    driest: driestBed(confirmed?.plan ?? null, stored?.plan ?? null, nowMs),
    morningOwed:
      owedMorning(nowMs, { ...config, ...config.site }, (day) => hasMorningPlan(db, day)) !== null,
    planFault:
      failed !== null && failed.siteDay === siteDay && failed.atMs > madeMs ? failed : null,
    doubts: doubtsOf(db, nowMs),
    holds: openHolds(db),
    keepOffs: standingAt(personKeepOffs(db), nowMs),
    orders: newestOrders(db).map((order) => received(db, order)),
    open: openOrders(db),
    disk: diskUse(config.dataFolder),
  };
}

function doubtsOf(db: Db, nowMs: number): SiteStatus['doubts'] {
  const { inForce, waiting } = planDoubts(db, nowMs);
  const found = [inForce, waiting].filter((one) => one !== null);
  const once = (texts: string[]) => [...new Set(texts)];
  return {
    altered: once(found.flatMap(({ altered }) => altered ?? [])),
    siteChanges: once(
      found.flatMap(({ changes }) => (changes.length === 0 ? [] : sayChanges(changes))),
    ),
  };
}

function received(db: Db, order: OrderState): ReceivedOrder {
  const receipt = receiptsOf(db, order.orderId).find(({ output }) => output === order.output);
  return receipt === undefined ? order : { ...order, receipt };
}
