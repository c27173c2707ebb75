import type { StoreState } from '../../calc/sand/seedbed-store.ts';
import type { Run } from '../../calc/schedule/run.ts';
import type { Station } from '../../calc/schedule/site.ts';
import { type BedFacts, type DayFacts, STEP_MS } from './day-facts.ts';

const STEP_H = STEP_MS / 3_600_000;
/** A margin this much below the dry limit is dry, and no rounding of the machine. */
const DRY_MM = 1e-6;

/** Water over a time, evenly. */
interface Shower {
  startMs: number;
  endMs: number;
  netMm: number;
}

/** One cycle of a bed, with what each of its parts gets. */
export interface Watering {
  startMs: number;
  endMs: number;
  parts: readonly Shower[];
}

/** A bed's day, followed from its runs. */
export interface BedDay {
  /** By step, then by part, then by what its sand may be. */
  states: StoreState[][][];
  /**
   * Water of the driest part above its limit at the beginning of each step, and one more, mm: in the
   * middle of what the sand may be, and with the accepted share of it below.
   */
  marginMm: number[];
  riskMm: number[];
}

/**
 * The parts of a bed: stations that always give the same depth water one together, every other one
 * its own. None is hidden behind a mean.
 */
export function partsOf({ stations }: Pick<BedFacts, 'stations'>): Station[][] {
  const parts = new Map<string, Station[]>();
  for (const station of stations) {
    const { precipitationRateMmPerH, rotationS, runTimeMultiplierFraction } = station;
    const kind = `${precipitationRateMmPerH} ${rotationS} ${runTimeMultiplierFraction}`;
    parts.set(kind, [...(parts.get(kind) ?? []), station]);
  }
  return [...parts.values()];
}

/** A watering of runs, each with its station and what reaches the ground. */
export function wateringOf(
  facts: BedFacts,
  runs: readonly { stationId: string; startMs: number; endMs: number; netMm: number }[],
): Watering {
  return {
    startMs: Math.min(...runs.map((run) => run.startMs)),
    endMs: Math.max(...runs.map((run) => run.endMs)),
    parts: partsOf(facts).map((stations) => {
      const own = runs.filter((run) => stations.some(({ id }) => id === run.stationId));
      return {
        startMs: Math.min(...own.map((run) => run.startMs)),
        endMs: Math.max(...own.map((run) => run.endMs)),
        netMm: own.reduce((sum, run) => sum + run.netMm, 0) / stations.length,
      };
    }),
  };
}

/** The cycles of a bed as its runs tell them. */
export function wateringsOf(facts: BedFacts, runs: readonly Run[]): (Watering & { runs: Run[] })[] {
  const byCycle = new Map<number, Run[]>();
  for (const run of runs) {
    if (run.bedId !== facts.bed.id) continue;
    byCycle.set(run.cycle, [...(byCycle.get(run.cycle) ?? []), run]);
  }
  return [...byCycle.values()]
    .map((own) => ({
      ...wateringOf(
        facts,
        own.map((run) => ({ ...run, endMs: run.startMs + run.runS * 1000 })),
      ),
      runs: own,
    }))
    .sort((one, other) => one.startMs - other.startMs);
}

/** The bed's store over the day with this water, step by step. */
export function followed(day: DayFacts, facts: BedFacts, waterings: readonly Watering[]): BedDay {
  return followedFrom(day, facts, waterings, { from: 0, before: null });
}

/**
 * The same from a step on, what was before it taken from a day that has the same water up to there.
 */
export function followedFrom(
  day: DayFacts,
  facts: BedFacts,
  waterings: readonly Watering[],
  known: { from: number; before: BedDay | null },
): BedDay {
  const { gridStartMs, steps } = day;
  const { members } = facts;
  const { from, before } = known;
  const parts = partsOf(facts);
  const waterMm = parts.map(() => new Float64Array(steps));
  for (const watering of waterings) {
    for (const [part, { startMs, endMs, netMm }] of watering.parts.entries()) {
      const series = waterMm[part];
      if (series === undefined || netMm === 0) continue;
      const lastsMs = Math.max(1, endMs - startMs);
      const first = Math.max(0, Math.floor((startMs - gridStartMs) / STEP_MS));
      for (let step = first; step < steps; step++) {
        const atMs = gridStartMs + step * STEP_MS;
        if (atMs >= endMs) break;
        const overlapMs = Math.min(endMs, atMs + STEP_MS) - Math.max(startMs, atMs);
        series[step] = (series[step] ?? 0) + (netMm * Math.max(0, overlapMs)) / lastsMs;
      }
    }
  }
  const start = parts.map(() => members.map(({ stateNow }) => stateNow));
  const states = before === null ? [start] : before.states.slice(0, from + 1);
  const marginMm = before === null ? [] : before.marginMm.slice(0, from + 1);
  const riskMm = before === null ? [] : before.riskMm.slice(0, from + 1);
  const note = (now: readonly (readonly StoreState[])[], step: number) => {
    const driestMm = members.map(({ store, demandMm }, member) => {
      const rate = Math.max(0, demandMm[Math.min(step, steps - 1)] ?? 0) / STEP_H;
      return Math.min(...now.map((part) => store.marginMm(part[member] ?? store.full, rate)));
    });
    marginMm.push(quantile(members, driestMm, 0.5));
    riskMm.push(quantile(members, driestMm, day.limits.riskFraction));
  };
  if (before === null) note(start, 0);
  let now = states[from] ?? start;
  for (let step = from; step < steps; step++) {
    now = now.map((ofPart, part) =>
      ofPart.map((state, member) => {
        const own = members[member];
        if (own === undefined) throw new Error('no such member');
        const spell = {
          waterMm: (waterMm[part]?.[step] ?? 0) + (facts.rainMm[step] ?? 0),
          demandMm: own.demandMm[step] ?? 0,
          hours: STEP_H,
        };
        return own.store.step(state, spell).state;
      }),
    );
    states.push(now);
    note(now, step + 1);
  }
  return { states, marginMm, riskMm };
}

/**
 * Weighted quantile: sorted values stand in the middle of their weights, with straight lines between
 * them and nothing beyond the first and the last.
 */
function quantile(
  members: readonly { weightFraction: number }[],
  values: readonly number[],
  probability: number,
): number {
  const total = members.reduce((sum, { weightFraction }) => sum + weightFraction, 0);
  const sorted = values
    .map((value, index) => ({ value, weight: (members[index]?.weightFraction ?? 0) / total }))
    .sort((one, other) => one.value - other.value);
  const places = sorted.map(({ value, weight }, index) => ({
    value,
    at: sorted.slice(0, index).reduce((sum, one) => sum + one.weight, 0) + weight / 2,
  }));
  const above = places.find(({ at }) => at >= probability);
  const below = places.findLast(({ at }) => at < probability);
  if (above === undefined || below === undefined) return (above ?? below)?.value ?? Number.NaN;
  const part = (probability - below.at) / (above.at - below.at);
  return below.value + part * (above.value - below.value);
}

/** Steps in which the bed is dry by daylight, or while it loses water before tomorrow's first start. */
export function drySteps(day: DayFacts, facts: BedFacts, { marginMm }: BedDay): number[] {
  const dry: number[] = [];
  for (let step = 0; step < day.steps; step++) {
    const atMs = day.gridStartMs + step * STEP_MS;
    if (atMs >= day.nextFirstStartMs) break;
    if (!isByDay(day, step) && !((facts.demandMm[step] ?? 0) > 0)) continue;
    if ((marginMm[step] ?? 0) < -DRY_MM) dry.push(step);
  }
  return dry;
}

/** Whether a step begins between today's sunrise and sunset. */
export function isByDay({ gridStartMs, daylight }: DayFacts, step: number): boolean {
  const atMs = gridStartMs + step * STEP_MS;
  return atMs >= daylight.startMs && atMs < daylight.endMs;
}

/**
 * What the bed can still lose before it is dry when it gets no more than has begun by then, counted
 * back from each drying, mm in each step.
 */
export function leftSeries(
  day: DayFacts,
  facts: BedFacts,
  waterings: readonly Watering[],
): number[] {
  const left = countedBack(day, facts, followed(day, facts, []));
  for (const [index, { startMs }] of waterings.entries()) {
    const next = countedBack(day, facts, followed(day, facts, waterings.slice(0, index + 1)));
    const begun = Math.max(0, Math.floor((startMs - day.gridStartMs) / STEP_MS));
    left.splice(begun + 1, left.length, ...next.slice(begun + 1));
  }
  return left;
}

/** What a bed that is not dry at the end could still give to the day's highest loss, mm. */
function leftAtEnd(day: DayFacts, { members, demandMm }: BedFacts, { states }: BedDay): number {
  const { steps } = day;
  const peakMmPerH = Math.max(0, ...demandMm) / STEP_H;
  const parts = states[steps] ?? [];
  const ofMembers = members.map((one, member) => {
    const stands = parts.map((part) => part[member] ?? one.store.full);
    const rate = Math.max(0, one.demandMm[steps - 1] ?? 0) / STEP_H;
    return {
      weight: one.weightFraction,
      marginMm: Math.min(...stands.map((state) => one.store.marginMm(state, rate))),
      leftMm:
        Math.min(...stands.map((state) => one.store.leftMm(state, peakMmPerH * one.lossFactor))) /
        one.lossFactor,
    };
  });
  // The driest half of the weight ends with the middle one.
  ofMembers.sort((one, other) => one.marginMm - other.marginMm);
  const half = ofMembers.reduce((sum, { weight }) => sum + weight, 0) / 2;
  const middle = ofMembers.find(
    (_, index) =>
      ofMembers.slice(0, index + 1).reduce((sum, { weight }) => sum + weight, 0) >= half,
  );
  return middle?.leftMm ?? Number.NaN;
}

function countedBack(day: DayFacts, facts: BedFacts, bedDay: BedDay): number[] {
  const { steps } = day;
  const { marginMm } = bedDay;
  const left = new Array<number>(steps + 1).fill(0);
  const endMm = leftAtEnd(day, facts, bedDay);
  left[steps] = (marginMm[steps] ?? 0) > 0 ? Math.max(0, endMm) : (marginMm[steps] ?? 0);
  for (let step = steps - 1; step >= 0; step--) {
    const [margin, next] = [marginMm[step] ?? 0, marginMm[step + 1] ?? 0];
    const lossMm = Math.max(0, facts.demandMm[step] ?? 0);
    if (margin <= 0) left[step] = margin;
    else if (next > 0) left[step] = (left[step + 1] ?? 0) + lossMm;
    else left[step] = lossMm * (margin / (margin - next));
  }
  return left;
}

/**
 * When the accepted share of what the sand may be is dry with this water and no more, from an instant
 * on; null: never.
 */
export function riskReached(
  day: DayFacts,
  facts: BedFacts,
  waterings: readonly Watering[],
  fromMs: number,
): number | null {
  const { riskMm } = followed(day, facts, waterings);
  const place = Math.max(0, (fromMs - day.gridStartMs) / STEP_MS);
  const first = Math.ceil(place);
  const isWatered = waterings.some(
    ({ startMs, endMs }) => startMs < day.gridStartMs + first * STEP_MS && endMs > fromMs - STEP_MS,
  );
  // Within a step in which nothing is given it falls, or rises where the air cools, evenly.
  const [begun = 0, ended = 0] = riskMm.slice(Math.floor(place), Math.floor(place) + 2);
  if (!isWatered && begun + (ended - begun) * (place - Math.floor(place)) <= 0) return fromMs;
  for (let step = first; step <= day.steps; step++) {
    const after = riskMm[step] ?? 0;
    if (after > 0) continue;
    const before = riskMm[step - 1] ?? 0;
    const part = step > first && before > after ? before / (before - after) : 1;
    return day.gridStartMs + (step - 1 + part) * STEP_MS;
  }
  return null;
}

/** What the middle sand still has when the accepted share of them is dry without any water, mm. */
export function reserveMm(day: DayFacts, facts: BedFacts): number {
  const atMs = riskReached(day, facts, [], day.gridStartMs);
  if (atMs === null) return 0;
  const left = leftSeries(day, facts, []);
  const place = (atMs - day.gridStartMs) / STEP_MS;
  const step = Math.min(Math.floor(place), day.steps - 1);
  const [begun = 0, ended = 0] = left.slice(step, step + 2);
  return Math.max(0, begun + (ended - begun) * (place - step));
}

/** Net water that each part can take at an instant without draining, mm. */
export function roomsMm(
  day: DayFacts,
  facts: BedFacts,
  given: { bedDay: BedDay; waterings: readonly Watering[]; atMs: number },
): number[] {
  const { bedDay, waterings, atMs } = given;
  const step = Math.floor((atMs - day.gridStartMs) / STEP_MS);
  const { members } = facts;
  const of = (at: number) =>
    (bedDay.states[at] ?? []).map((part) => {
      const rooms = members.map(({ store }, index) => store.roomMm(part[index] ?? store.full));
      return quantile(members, rooms, 0.5);
    });
  const fromMs = day.gridStartMs + step * STEP_MS;
  const isWatered = waterings.some((one) => one.startMs < fromMs + STEP_MS && one.endMs > fromMs);
  const after = isWatered ? of(step + 1) : of(step);
  return of(step).map((mm, part) => Math.min(mm, after[part] ?? mm));
}
