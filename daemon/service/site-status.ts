import { standingRuns } from '../../adapters/plan-document.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { Coded } from '../coded.ts';
import type { LoadedConfig } from '../site/config/config.ts';
import { owedMorning } from '../site/config/morning.ts';
import { type PlanStanding, planInForce, planStanding } from '../site/gate/gate.ts';
import { standingAt } from '../site/gate/keep-offs.ts';
import { planDoubts } from '../site/gate/plan-doubts.ts';
import type { SiteChange } from '../site/gate/site-changes.ts';
import { type AuditEntry, newestAuditEntryOf } from '../site/store/audit-log.ts';
import { type Db, type DiskUse, diskUse } from '../site/store/database.ts';
import { type Receipt, receiptsOf } from '../site/store/field-reports.ts';
import {
  type Hold,
  openHolds,
  type PersonKeepOff,
  personKeepOffs,
} from '../site/store/holds-and-keep-offs.ts';
import { newestOrders, type OrderState, openOrders } from '../site/store/outbox.ts';
import { hasMorningPlan, newestPlan, type StoredPlan } from '../site/store/plans.ts';
import type { DaemonStatus } from '../site/store/running-daemon.ts';

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
  planFault: AuditEntry | null;
  /** What speaks against the plan in force and the one that waits. */
  doubts: { altered: Coded[]; siteChanges: (readonly SiteChange[])[] };
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
  const failed = newestAuditEntryOf(db, 'plan_failed');
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
  // What both plans are doubted for is one thing.
  const once = <T>(all: readonly T[]) => [
    ...new Map(all.map((one) => [JSON.stringify(one), one])).values(),
  ];
  return {
    altered: once(found.flatMap(({ altered }) => altered ?? [])),
    siteChanges: once(
      found.flatMap(({ changes }): SiteChange[][] => (changes.length === 0 ? [] : [changes])),
    ),
  };
}

function received(db: Db, order: OrderState): ReceivedOrder {
  const receipt = receiptsOf(db, order.orderId).find(({ output }) => output === order.output);
  return receipt === undefined ? order : { ...order, receipt };
}

/** The bed that is the first to reach its dry limit. */
interface Driest {
  bedId: string;
  /** When it gets there; a time that has passed means that it is dry now. */
  dryAtMs: number;
}

/**
 * Which bed gets dry first, as far as the plans know: by the expected store of the plan in force,
 * with its cycles; without one, by the newest plan, with no water at all. Null when none does. Pure.
 */
export function driestBed(
  inForce: DayPlan | null,
  newest: DayPlan | null,
  nowMs: number,
): Driest | null {
  const found =
    inForce === null
      ? (newest?.beds ?? []).flatMap(({ bedId, dryAtMs }) =>
          dryAtMs === null ? [] : [{ bedId, dryAtMs }],
        )
      : inForce.beds.flatMap(({ bedId, expectedStore }) => {
          const { startMs, stepMin, storeMm } = expectedStore;
          const stepMs = stepMin * 60_000;
          const from = Math.max(Math.floor((nowMs - startMs) / stepMs), 0);
          const at = storeMm.findIndex((mm, index) => index >= from && mm <= 0);
          return at === -1 ? [] : [{ bedId, dryAtMs: startMs + at * stepMs }];
        });
  return found.toSorted((a, b) => a.dryAtMs - b.dryAtMs)[0] ?? null;
}
