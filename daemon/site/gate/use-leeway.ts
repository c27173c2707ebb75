import type { DayChange } from '../../../adapters/contract.ts';
import type { SiteClock } from '../../../adapters/site-clock.ts';
import { type BedUse, type StandingCycle, usesOf } from '../../../calc/schedule/leeway-change.ts';
import type { KeepOff } from '../../../calc/schedule/site.ts';
import { addAuditEntry, DAEMON } from '../store/audit-log.ts';
import { type Db, inTransaction } from '../store/database.ts';
import {
  type Hold,
  holdsAgainst,
  type PersonKeepOff,
  personKeepOffs,
} from '../store/holds-and-keep-offs.ts';
import { addLeewayUse, newestLeewayUse } from '../store/leeway-uses.ts';
import { oweDelivery } from '../store/outbox.ts';
import { newestConfirmation, type StoredConfirmation } from '../store/plans.ts';
import { personKeepOffStretches } from './keep-offs.ts';
import { changeOrderIdOf } from './order-id.ts';
import {
  confirmedCycles,
  type Overstep,
  type OverstepCode,
  same,
  withinLeeway,
} from './within-leeway.ts';

/** What would be changed of the confirmed plan, and on what it was worked out. */
export interface AskedChange {
  confirmationId: number;
  /** The number of the change that it was worked out after; 0: the plan as laid. */
  afterNumber: number;
  cycles: readonly StandingCycle[];
  /** Until when the weather was measured that it rests on; null: nobody measures. */
  measuredMs: number | null;
  /** Beds that somebody has found dry since they were last thought about. */
  dryBedIds: readonly string[];
}

/** Why a change is refused: a closed list. */
export type UseRefusalCode =
  | OverstepCode
  | 'not_in_force'
  | 'changed_since'
  | 'day_over'
  | 'stopped'
  | 'too_late'
  | 'in_keep_off'
  | 'not_measured';

export interface UseRefusal {
  code: UseRefusalCode;
  bedId: string | null;
}

/** What a change is judged by besides itself. */
export interface UseState {
  inForce: StoredConfirmation | null;
  /** Whether the site's config still lets plans have leeway. */
  isLet: boolean;
  newest: DayChange | null;
  holds: readonly Hold[];
  keepOffs: readonly PersonKeepOff[];
  /** Keep-offs of the config on this day. */
  stretches: readonly KeepOff[];
}

/** Says what of changed cycles oversteps a leeway. */
export type LeewayJudge = (...given: Parameters<typeof withinLeeway>) => Overstep | null;

/** What begins sooner than this stands: an order has to come through first. */
export const CHANGE_LEAD_MS = 2 * 60_000;
/** Without anything measured for so long nothing is added. */
const MEASURED_WITHIN_MS = 2 * 3_600_000;

/** Whether the weather was measured so lately that water may be added on it; null: nobody measures. Pure. */
export function isMeasuredLately(measuredMs: number | null, nowMs: number): boolean {
  return measuredMs !== null && nowMs - measuredMs <= MEASURED_WITHIN_MS;
}

/**
 * Why a change may not go out, or null. Pure. A stop, a keep-off and the day's end come before any
 * leeway; what has begun or is about to stands as it is; and nothing is added on weather that nobody
 * has measured, but on a bed that somebody found dry.
 *
 * @param judge Says what oversteps the leeway; the tests leave it out to see that its absence is noticed.
 */
export function judgeUse(
  state: UseState,
  { change, nowMs }: { change: AskedChange; nowMs: number },
  judge: LeewayJudge = withinLeeway,
): UseRefusal | null {
  const { inForce, newest } = state;
  const whole = (code: UseRefusalCode): UseRefusal => ({ code, bedId: null });
  if (inForce === null || inForce.confirmationId !== change.confirmationId) {
    return whole('not_in_force');
  }
  const { plan } = inForce.stored;
  const { leewayBedIds = null } = inForce;
  if (!state.isLet || leewayBedIds === null) return whole('no_leeway');
  if (nowMs >= plan.endMs) return whole('day_over');
  if (state.holds.length > 0) return whole('stopped');
  if ((newest?.number ?? 0) !== change.afterNumber) return whole('changed_since');
  const given = { plan, confirmedMs: inForce.atMs, bedIds: leewayBedIds };
  const overstep = judge(given, change.cycles);
  if (overstep !== null) return overstep;
  const before = newest?.cycles ?? confirmedCycles(given);
  const untilMs = nowMs + CHANGE_LEAD_MS;
  const gone = before.find(
    (one) => one.startMs < untilMs && !change.cycles.some((now) => same(one, now)),
  );
  if (gone !== undefined) return { code: 'too_late', bedId: gone.bedId };
  const others = change.cycles.filter((one) => !before.some((was) => same(one, was)));
  const late = others.find(({ startMs }) => startMs < untilMs);
  if (late !== undefined) return { code: 'too_late', bedId: late.bedId };
  const off = [
    ...state.stretches,
    ...personKeepOffStretches(state.keepOffs, {
      bedIds: plan.beds.map(({ bedId }) => bedId),
      fromMs: nowMs,
      endMs: plan.endMs,
    }),
  ];
  const keptOff = others.find(({ bedId, runs }) =>
    runs.some((run) =>
      off.some(
        (one) =>
          one.bedId === bedId &&
          run.startMs < one.endMs &&
          run.startMs + run.runS * 1000 > one.startMs,
      ),
    ),
  );
  if (keptOff !== undefined) return { code: 'in_keep_off', bedId: keptOff.bedId };
  const isMeasured = isMeasuredLately(change.measuredMs, nowMs);
  const added = others.find(
    ({ bedId, origin }) => 'spare' in origin && !isMeasured && !change.dryBedIds.includes(bedId),
  );
  return added === undefined ? null : { code: 'not_measured', bedId: added.bedId };
}

type UseResult =
  | { ok: true; orderId: string; number: number; uses: BedUse[] }
  | { ok: false; refusal: UseRefusal };

/**
 * Lets a change of the confirmed plan out under its confirm: the only way to a changed order. Judgement,
 * row, owed deliveries and log line are one transaction. A refusal changes nothing.
 *
 * @param context.sayUses Puts what is done into words for the log.
 */
export function useLeeway(
  context: {
    db: Db;
    clock: SiteClock;
    outputs: readonly string[];
    nowMs: number;
    isLet: boolean;
    stretches: readonly KeepOff[];
    sayUses(uses: readonly BedUse[]): string;
    judge?: LeewayJudge;
  },
  change: AskedChange,
): UseResult {
  const { db, outputs, nowMs, isLet, stretches } = context;
  return inTransaction(db, (): UseResult => {
    const inForce = newestConfirmation(db);
    const newest = newestLeewayUse(db, change.confirmationId);
    const refusal = judgeUse(
      {
        inForce,
        isLet,
        newest,
        holds: holdsAgainst(db, change.confirmationId),
        keepOffs: personKeepOffs(db),
        stretches,
      },
      { change, nowMs },
      context.judge,
    );
    if (refusal !== null || inForce === null) {
      return { ok: false, refusal: refusal ?? { code: 'not_in_force', bedId: null } };
    }
    const { confirmationId, stored } = inForce;
    const { plan, digest } = stored;
    const number = (newest?.number ?? 0) + 1;
    addLeewayUse(db, { confirmationId, number, atMs: nowMs, cycles: change.cycles });
    const orderId = changeOrderIdOf(stored, number);
    const owed = { orderId, confirmationId, atMs: nowMs, validUntilMs: plan.endMs };
    oweDelivery(db, outputs, owed);
    const before = newest?.cycles ?? confirmedCycles({ plan, confirmedMs: inForce.atMs });
    const uses = usesOf(before, change.cycles);
    addAuditEntry(db, {
      atMs: nowMs,
      kind: 'leeway_used',
      who: DAEMON,
      siteDay: plan.siteDay,
      revision: plan.revision,
      digest,
      what: `change ${number}: ${context.sayUses(uses)}`,
    });
    return { ok: true, orderId, number, uses };
  });
}
