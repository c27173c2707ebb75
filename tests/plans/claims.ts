import type { Reason } from '../../calc/schedule/day-plan.ts';
import { drySteps, followed, riskReached, roomsMm, wateringsOf } from './bed-water.ts';
import {
  type CycleFacts,
  freeBetween,
  minutes,
  nameOf,
  othersL,
  shifted,
  startsBetween,
} from './cycle-facts.ts';
import { type BedFacts, type DayFacts, START_GRID_MS, STEP_MS } from './day-facts.ts';
import { type Breach, clock } from './limit-breaches.ts';
import { remedyClaims } from './remedy-claims.ts';
import { shortageClaims } from './shortage-claims.ts';
import { SupplyInUse, type SupplyRun, supplyRuns } from './supply-in-use.ts';

const MIN_MS = 60_000;
/** Told times may differ from found ones by a step of the stores and a start of the grid. */
const SAME_TIME_MS = STEP_MS + 2 * START_GRID_MS;
/** Waiting for less is the grid of starts. */
const AT_ONCE_MS = 2 * MIN_MS;

/** Everything that a plan says of its cycles and shortages, and what of it is not so. */
export function falseClaims(day: DayFacts): { told: number; wrong: Breach[] } {
  const found = [
    ...day.beds.flatMap((facts) => cycleClaims(day, facts)),
    ...shortageClaims(day),
    ...remedyClaims(day),
  ];
  return {
    told: found.length,
    wrong: found.flatMap(({ kind, at, why }) =>
      why === null ? [] : [{ kind, at: `${at}: ${why}` }],
    ),
  };
}

/** A claim, and why it is not so; null: it is. */
export interface Claim {
  kind: string;
  at: string;
  why: string | null;
}

function cycleClaims(day: DayFacts, facts: BedFacts): Claim[] {
  const own = wateringsOf(facts, day.plan.runs);
  const runs = supplyRuns(day);
  const cycles = day.plan.beds.find((bed) => bed.bedId === facts.bed.id)?.cycles ?? [];
  return cycles.flatMap((told, index) => {
    const cycle = own[index];
    if (cycle === undefined) return [];
    const isOwn = (run: SupplyRun) =>
      cycle.runs.some((one) => one.stationId === run.station.id && one.startMs === run.startMs);
    const without = new SupplyInUse(
      day,
      runs.filter((run) => !isOwn(run)),
    );
    const restedMs =
      index === 0 ? facts.freeFromMs : (own[index - 1]?.endMs ?? 0) + day.limits.restMin * MIN_MS;
    const reserveAtMs = riskReached(day, facts, own.slice(0, index), restedMs);
    const leadMs = Math.max(...cycle.runs.map((run) => run.startMs)) - cycle.startMs;
    const isLast = told.reasons.some((reason) => reason.code === 'last_of_day');
    const dueMs = isLast
      ? day.lastEndMs - (cycle.endMs - cycle.startMs)
      : (reserveAtMs ?? Number.POSITIVE_INFINITY) - leadMs;
    const known: CycleFacts = {
      day,
      facts,
      own,
      index,
      told,
      supply: without,
      reserveAtMs,
      restedMs,
      neededMs: Math.max(dueMs, restedMs, day.firstStartMs),
    };
    const at = `${facts.bed.id} ${clock(day, told.startMs)}`;
    return told.reasons.map((reason) => ({ kind: reason.code, at, why: untrue(reason, known) }));
  });
}

function untrue(reason: Reason, known: CycleFacts): string | null {
  const { day, told, index, own, reserveAtMs, restedMs } = known;
  switch (reason.code) {
    case 'store_at_reserve':
      if (reserveAtMs === null) return 'never at its reserve';
      return [reserveAtMs, restedMs, day.input.firstRunMs].some(
        (lowMs) => Math.abs(reason.atMs - Math.max(reserveAtMs, lowMs)) <= SAME_TIME_MS,
      )
        ? null
        : `at its reserve at ${clock(day, reserveAtMs)}, told ${clock(day, reason.atMs)}`;
    case 'first_of_day':
      if (index !== 0) return 'not the first';
      return (reserveAtMs ?? Number.POSITIVE_INFINITY) <=
        Math.max(day.firstStartMs, restedMs) + leadMsOf(known) + SAME_TIME_MS
        ? null
        : 'not at its reserve by then';
    case 'last_of_day':
      return untrueLast(known, reason.untilMs);
    case 'rested_first':
      return untrueRest(known, reason.restMin);
    case 'before_keep_off':
    case 'after_keep_off':
      return untrueKeepOff(known, reason);
    case 'earlier_for_supply':
    case 'later_for_supply':
      return untrueSupply(known, reason);
    case 'earlier_for_day':
    case 'earlier_to_level':
    case 'earlier_for_lull':
    case 'earlier_as_before':
      return untrueMove(known, reason);
    case 'rotation_exceeds_store':
    case 'for_driest':
      return Math.abs(reason.wasteMm - told.drainedMm) <= 0.01 ? null : 'other water drains';
    case 'held_at_cap': {
      const before = own.slice(0, index);
      const bedDay = followed(day, known.facts, before);
      const rooms = roomsMm(day, known.facts, { bedDay, waterings: before, atMs: told.startMs });
      const room = Math.min(...rooms);
      return room > reason.capMm && reason.capMm === known.facts.capMm ? null : 'no room above it';
    }
    default:
      return null;
  }
}

function leadMsOf({ own, index }: CycleFacts): number {
  const cycle = own[index];
  if (cycle === undefined) return 0;
  return Math.max(...cycle.runs.map((run) => run.startMs)) - cycle.startMs;
}

function untrueLast({ day, facts, own, index, told, reserveAtMs }: CycleFacts, untilMs: number) {
  if (index !== own.length - 1) return 'not the last';
  if (Math.abs(untilMs - day.nextFirstStartMs) > MIN_MS) return 'not the next first start';
  if (reserveAtMs === null || reserveAtMs > untilMs) return 'it lasts without';
  const bedDay = followed(day, facts, own);
  const isDryAt = (step: number) =>
    (bedDay.marginMm[step] ?? 0) < -1e-6 && (facts.demandMm[step] ?? 0) > 0;
  const first = Math.floor((told.startMs - day.gridStartMs) / STEP_MS);
  if (drySteps(day, facts, bedDay).includes(first)) return 'the bed is dry as it begins';
  for (let step = first + 1; day.gridStartMs + step * STEP_MS < untilMs; step++) {
    if (isDryAt(step)) return `dry at ${clock(day, day.gridStartMs + step * STEP_MS)}`;
  }
  return null;
}

function untrueRest({ day, told, reserveAtMs, restedMs, facts }: CycleFacts, restMin: number) {
  if (restMin !== day.limits.restMin) return 'another rest';
  if (restedMs <= day.input.firstRunMs && facts.freeFromMs <= day.input.firstRunMs) {
    return 'nothing to rest from';
  }
  if ((reserveAtMs ?? Number.POSITIVE_INFINITY) > restedMs + SAME_TIME_MS) {
    return 'not at its reserve as the rest ends';
  }
  if (told.startMs <= restedMs + AT_ONCE_MS) return null;
  const tellsMore = told.reasons.some(
    ({ code }) => code === 'later_for_supply' || code === 'after_keep_off',
  );
  return tellsMore ? null : `begins ${minutes(told.startMs - restedMs)} min after the rest`;
}

function untrueKeepOff(
  known: CycleFacts,
  reason: Extract<Reason, { code: 'before_keep_off' | 'after_keep_off' }>,
): string | null {
  const { day, facts, told, neededMs } = known;
  const lastsMs = told.endMs - told.startMs;
  const offs = facts.keepOffs.filter((off) => off.why === reason.why && off.kind === reason.kind);
  const hits = (off: { startMs: number; endMs: number }) =>
    neededMs - SAME_TIME_MS < off.endMs && neededMs + lastsMs + SAME_TIME_MS > off.startMs;
  if (reason.code === 'before_keep_off') {
    const off = offs.find((one) => one.startMs === reason.startMs);
    if (off === undefined) return 'no such keep-off';
    if (told.endMs > off.startMs) return 'does not end before it';
    return hits(off) ? null : `water is needed at ${clock(day, neededMs)}`;
  }
  const off = offs.find((one) => one.endMs === reason.endMs);
  if (off === undefined) return 'no such keep-off';
  if (told.startMs < off.endMs) return 'begins before its end';
  if (!hits(off)) return `water is needed at ${clock(day, neededMs)}`;
  return freeBetween(known, off.endMs, told.startMs);
}

function untrueSupply(
  known: CycleFacts,
  reason: Extract<Reason, { code: 'earlier_for_supply' | 'later_for_supply' }>,
): string | null {
  const { told, neededMs, day } = known;
  const isLater = reason.code === 'later_for_supply';
  const movedMs = reason.minutes * MIN_MS * (isLater ? -1 : 1);
  const wantedMs = told.startMs + movedMs;
  if (Math.abs(wantedMs - neededMs) > SAME_TIME_MS) {
    return `water is needed at ${clock(day, neededMs)}, not ${clock(day, wantedMs)}`;
  }
  const [fromMs, toMs] = isLater ? [wantedMs, told.startMs] : [told.startMs + MIN_MS, wantedMs];
  // Told in whole minutes: the instant itself may lie half of one further in.
  const free = isLater
    ? freeBetween(known, fromMs + MIN_MS / 2, toMs)
    : freeBetween(known, fromMs, toMs - MIN_MS / 2);
  if (free !== null) return free;
  const name = nameOf(reason.limit);
  const isBinding = startsBetween(fromMs - MIN_MS, toMs + MIN_MS).some((startMs) =>
    known.supply.passedBy(shifted(known, startMs)).includes(name),
  );
  return isBinding ? null : `${name} binds nowhere between`;
}

function untrueMove(
  known: CycleFacts,
  reason: Extract<
    Reason,
    { code: 'earlier_for_day' | 'earlier_to_level' | 'earlier_for_lull' | 'earlier_as_before' }
  >,
): string | null {
  const { day, told, neededMs, own, index } = known;
  const wantedMs = told.startMs + reason.minutes * MIN_MS;
  if (Math.abs(wantedMs - neededMs) > SAME_TIME_MS) {
    return `water is needed at ${clock(day, neededMs)}, not ${clock(day, wantedMs)}`;
  }
  switch (reason.code) {
    case 'earlier_for_lull':
      return day.isWindyAt(wantedMs) && !day.isWindyAt(told.startMs) ? null : 'no lull';
    case 'earlier_as_before':
      return day.input.former?.some(
        (one) => one.bedId === known.facts.bed.id && one.startMs === told.startMs,
      )
        ? null
        : 'not in the plan in force';
    case 'earlier_to_level': {
      const [here, there] = [othersL(known, told.startMs), othersL(known, wantedMs)];
      return here < there - 1e-6
        ? null
        : `others draw ${here.toFixed(0)} L here, ${there.toFixed(0)} there`;
    }
    default:
      return index < own.length - 1 || known.supply.passedBy(shifted(known, wantedMs)).length > 0
        ? null
        : 'nothing comes after it';
  }
}
