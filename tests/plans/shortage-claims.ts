import type { Shortage } from '../../calc/schedule/day-plan.ts';
import { bedDryness } from './avoidable.ts';
import { wateringsOf } from './bed-water.ts';
import type { Claim } from './claims.ts';
import { nameOf } from './cycle-facts.ts';
import { type BedFacts, type DayFacts, START_GRID_MS, STEP_MS } from './day-facts.ts';
import { clock } from './limit-breaches.ts';
import { SupplyInUse, supplyRuns } from './supply-in-use.ts';
import { possibleCycles, runsAt } from './whole-rotations.ts';

/** A cause is looked for from so long before a shortage on. */
const BEFORE_MS = 30 * 60_000;
const SAME_TIME_MS = STEP_MS + 2 * START_GRID_MS;

/** The cause of each shortage that a plan tells. */
export function shortageClaims(day: DayFacts): Claim[] {
  const supply = new SupplyInUse(day, supplyRuns(day));
  return day.plan.shortages.map((shortage) => {
    const facts = day.beds.find((one) => one.bed.id === shortage.bedId);
    const at = `${shortage.bedId} ${clock(day, shortage.fromMs)} to ${clock(day, shortage.toMs)}`;
    if (facts === undefined) return { kind: 'shortage', at, why: 'no such bed' };
    const why = untrueCause({ day, facts, shortage, supply });
    return { kind: `shortage: ${shortage.cause.kind}`, at, why };
  });
}

interface Short {
  day: DayFacts;
  facts: BedFacts;
  shortage: Shortage;
  supply: SupplyInUse;
}

/** Why a told cause is none; null: it is. */
function untrueCause(short: Short): string | null {
  const { day, facts, shortage } = short;
  const { fromMs, toMs, cause } = shortage;
  switch (cause.kind) {
    case 'keep_off': {
      const isSo = facts.keepOffs.some(
        (one) =>
          one.why === cause.off.why &&
          one.kind === cause.off.kind &&
          one.endMs === cause.endMs &&
          one.startMs < toMs &&
          one.endMs > fromMs - BEFORE_MS,
      );
      return isSo ? null : 'no such keep-off';
    }
    case 'before_hours':
      if (cause.firstStartMs !== day.firstStartMs) return 'not the first start';
      return fromMs < day.firstStartMs ? null : 'within the hours';
    case 'day_over': {
      if (cause.lastEndMs !== day.lastEndMs) return 'not the last end';
      const least = possibleCycles(day, facts, day.driftAt(fromMs))[0];
      const closesMs = day.lastEndMs - (least?.durationMs ?? 0) - SAME_TIME_MS;
      return fromMs >= closesMs ? null : 'begins within the hours';
    }
    case 'rest': {
      const own = wateringsOf(facts, day.plan.runs);
      const restMs = day.limits.restMin * 60_000;
      const binds = own.some((one) => one.startMs - restMs < toMs && one.endMs + restMs > fromMs);
      return binds ? null : 'no rest in it';
    }
    case 'reserve_only':
      return shortage.minutesBelowDryLimit > 0 ? 'the bed is dry' : null;
    case 'no_cycle_helps':
      return bedDryness(day, facts).avoidable === null ? null : 'one would';
    default: {
      const limit = nameOf(cause);
      const binds = starts(short).some((startMs) => passedAt(short, startMs).includes(limit));
      return binds ? null : `${limit} binds nowhere`;
    }
  }
}

function starts({ shortage, facts, day }: Short): number[] {
  const fromMs = Math.max(shortage.fromMs - BEFORE_MS, facts.freeFromMs, day.firstStartMs);
  const first = Math.ceil(fromMs / START_GRID_MS) * START_GRID_MS;
  const count = Math.max(0, Math.ceil((shortage.toMs - first) / START_GRID_MS));
  return Array.from({ length: count }, (_, index) => first + index * START_GRID_MS);
}

function passedAt({ day, facts, supply }: Short, startMs: number): string[] {
  const least = possibleCycles(day, facts, day.driftAt(startMs))[0];
  return least === undefined ? [] : supply.passedBy(runsAt(least, startMs));
}
