import type { Shortage } from '../../calc/schedule/day-plan.ts';
import { bedDryness } from './avoidable.ts';
import { wateringsOf } from './bed-water.ts';
import type { Claim } from './claims.ts';
import { type BedFacts, type DayFacts, START_GRID_MS, STEP_MS } from './day-facts.ts';
import { clock } from './limit-breaches.ts';
import { SupplyInUse, supplyRuns } from './supply-in-use.ts';
import { possibleCycles, runsAt } from './whole-rotations.ts';

/** A cause is looked for from so long before a shortage on. */
const BEFORE_MS = 30 * 60_000;
const SAME_TIME_MS = STEP_MS + 2 * START_GRID_MS;

/** The words of a supply limit, and the limit. */
const LIMIT_WORDS: readonly [RegExp, (words: readonly string[]) => string][] = [
  [/^the pump is full/, () => 'pump'],
  [/^main (.+) is full/, ([, id]) => `main ${id}`],
  [/^lateral (.+) is full/, ([, id]) => `lateral ${id}`],
  [/^as many stations run/, () => 'stations_at_once'],
  [/^another valve starts/, () => 'start_gap'],
  [/^the flow may not rise/, () => 'pump_rise'],
  [/^the pump has to rest/, () => 'pump_rest'],
  [/^the day's allowance/, () => 'allowance'],
  [/^the season allowance/, () => 'season_allowance'],
];

/** The cause of each shortage that a plan tells. */
export function shortageClaims(day: DayFacts): Claim[] {
  const supply = new SupplyInUse(day, supplyRuns(day));
  return day.plan.shortages.map((shortage) => {
    const facts = day.beds.find((one) => one.bed.id === shortage.bedId);
    const at = `${shortage.bedId} ${clock(day, shortage.fromMs)} to ${clock(day, shortage.toMs)}`;
    if (facts === undefined) return { kind: 'shortage', at, why: 'no such bed' };
    const [cause = ''] = shortage.because.split('; ');
    const { kind, why } = untrueCause(cause, { day, facts, shortage, supply });
    return { kind: `shortage: ${kind}`, at, why };
  });
}

interface Short {
  day: DayFacts;
  facts: BedFacts;
  shortage: Shortage;
  supply: SupplyInUse;
}

function untrueCause(cause: string, short: Short): { kind: string; why: string | null } {
  const { day, facts, shortage } = short;
  const { fromMs, toMs } = shortage;
  const off = /^(.+) keeps water off until (\d\d:\d\d)/.exec(cause);
  if (off !== null) {
    const isSo = facts.keepOffs.some(
      (one) =>
        one.why === off[1] &&
        day.input.say.timeOf(one.endMs) === off[2] &&
        one.startMs < toMs &&
        one.endMs > fromMs - BEFORE_MS,
    );
    return { kind: 'keep_off', why: isSo ? null : 'no such keep-off' };
  }
  for (const [pattern, limitOf] of LIMIT_WORDS) {
    const words = pattern.exec(cause);
    if (words === null) continue;
    const limit = limitOf(words);
    const binds = starts(short).some((startMs) => passedAt(short, startMs).includes(limit));
    return { kind: limit.split(' ')[0] ?? limit, why: binds ? null : `${limit} binds nowhere` };
  }
  if (cause.startsWith('water may not start before')) {
    return { kind: 'before_hours', why: fromMs < day.firstStartMs ? null : 'within the hours' };
  }
  const least = possibleCycles(day, facts, day.driftAt(fromMs))[0];
  const closesMs = day.lastEndMs - (least?.durationMs ?? 0) - SAME_TIME_MS;
  if (cause.startsWith('water may not run after')) {
    return { kind: 'after_hours', why: fromMs >= closesMs ? null : 'begins within the hours' };
  }
  if (cause.startsWith('the hours in which water may run are over')) {
    return { kind: 'hours_over', why: fromMs >= closesMs ? null : 'begins within the hours' };
  }
  if (cause.startsWith('one dose does not last for the least rest')) {
    const own = wateringsOf(facts, day.plan.runs);
    const restMs = day.limits.restMin * 60_000;
    const binds = own.some((one) => one.startMs - restMs < toMs && one.endMs + restMs > fromMs);
    return { kind: 'rest', why: binds ? null : 'no rest in it' };
  }
  if (cause.startsWith('only the reserve is touched')) {
    const isDry = shortage.minutesBelowDryLimit > 0;
    return { kind: 'reserve_only', why: isDry ? 'the bed is dry' : null };
  }
  if (cause.startsWith('no cycle more would make it less dry')) {
    const { avoidable } = bedDryness(day, facts);
    return { kind: 'nothing_helps', why: avoidable === null ? null : 'one would' };
  }
  return { kind: 'unknown', why: `not understood: ${cause}` };
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
