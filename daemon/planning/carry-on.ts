import { DEFAULT_FIELD_RULE, type FieldRule } from '../field/run-state.ts';
import { whatRan } from '../field/run-states.ts';
import type { Db } from '../store/database.ts';
import { firstGivenOfLogged, type StoredHandWater } from '../store/hand-water.ts';
import { firstSeenOfLogged } from '../store/looks.ts';
import { newestPlan, newestPlanBy, type StoredPlan } from '../store/plans.ts';
import { firstLearnedSince } from './applied-runs.ts';

/** A store carried on for longer than this from one plan to the next is not worth believing. */
const STORE_VALID_MS = 48 * 3_600_000;

/**
 * The plan from which the stores are carried on to now, or null: the newest, unless something has
 * come to light since that was before it: water by hand or a look that was logged late or taken back, or a report of what
 * ran or its absence. Then it is the one that had not yet passed it over.
 */
export function carryOnFrom(
  db: Db,
  nowMs: number,
  rule: FieldRule = DEFAULT_FIELD_RULE,
): StoredPlan | null {
  const newest = newestPlan(db);
  if (newest === null || !isValid(newest, nowMs)) return null;
  const { madeAtMs, startMs } = newest.plan;
  const ran = whatRan(db, { fromMs: startMs - STORE_VALID_MS, nowMs, rule });
  const known = [
    firstGivenOfLogged(db, madeAtMs),
    firstSeenOfLogged(db, madeAtMs),
    firstLearnedSince(ran, madeAtMs, rule),
  ];
  const givenMs = Math.min(...known.map((ms) => ms ?? Number.POSITIVE_INFINITY));
  if (givenMs > startMs) return newest;
  // Strictly before: a plan made in the very moment of a look starts from it, also once it was taken back.
  const earlier = newestPlanBy(db, givenMs - 1);
  return earlier !== null && isValid(earlier, nowMs) ? earlier : newest;
}

/**
 * Water by hand that counts from a plan's start on. What was logged since, but given before any plan
 * that can be carried on from, counts as given at the plan's start.
 */
export function handWaterOf(
  handWater: readonly StoredHandWater[],
  plan: StoredPlan,
  nowMs: number,
): StoredHandWater[] {
  const { startMs, madeAtMs } = plan.plan;
  return handWater
    .filter(
      (one) =>
        one.startMs >= startMs - STORE_VALID_MS &&
        one.startMs < nowMs &&
        (one.startMs >= startMs || one.atMs >= madeAtMs),
    )
    .map((one) => ({ ...one, startMs: Math.max(one.startMs, startMs) }));
}

function isValid({ plan }: StoredPlan, nowMs: number): boolean {
  return nowMs - plan.startMs <= STORE_VALID_MS;
}
