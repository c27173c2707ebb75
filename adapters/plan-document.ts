import { createHash } from 'node:crypto';
import canonicalizeModule from 'canonicalize';
import type { DayPlan, Reason } from '../calc/schedule/day-plan.ts';
import { changedRuns, cyclesOfPlan, type StandingCycle } from '../calc/schedule/leeway-change.ts';
import type { Run } from '../calc/schedule/run.ts';
import type { Confirmation, ConfirmedPlan } from './contract.ts';
import { csvText } from './csv-text.ts';
import type { SiteClock } from './site-clock.ts';

// The package's types declare an ES default export, while what Node loads is the function itself.
const canonicalize = canonicalizeModule as unknown as (input: unknown) => string | undefined;

export type Json = string | number | boolean | null | Json[] | { [key: string]: Json };

export interface PlanDocument {
  format: 'dewbeat-plan';
  /** 2 where warnings, notices and shortages are codes and numbers; 1: they are worded. */
  format_version: 1 | 2;
  /** IANA zone that the instants' offsets belong to. */
  zone: string;
  site_id: string;
  site_day: string;
  revision: number;
  /** After this nothing of the plan may start. */
  valid_until: string;
  [key: string]: Json;
}

/**
 * Decimals kept on the wire, by the unit at the end of a name. They are coarser than anything a
 * valve can follow and finer than anything a person reads; the same plan must give the same bytes,
 * and the last bits of a sum must not.
 */
const DECIMALS_BY_SUFFIX: readonly (readonly [suffix: string, decimals: number])[] = [
  ['LPerMin', 2],
  ['MmPerH', 3],
  ['MPerS', 2],
  ['Fraction', 4],
  ['Pct', 1],
  ['Mm', 3],
  ['Min', 1],
  ['Deg', 5],
  ['S', 0],
  ['C', 2],
];
const DECIMALS_BY_WORD: Record<string, number> = { percentOfLoss: 1, minutesBelowDryLimit: 1 };
const DECIMALS_OTHERWISE = 3;

/**
 * The plan's wire form: plain JSON with snake_case keys, instants as ISO 8601 with the site's
 * offset. Every field of the plan enters it by rule and not by a list, so that the digest covers
 * all of what the person saw. A confirmation is no part of it.
 * @throws RangeError when a number of the plan is not finite, or two fields have one name on the wire.
 */
export function planDocument(plan: DayPlan, clock: SiteClock): PlanDocument {
  const { endMs, siteId, siteDay, revision, formatVersion = 1, ...rest } = plan;
  return {
    ...(toWire(rest, { key: '', path: 'plan', clock, names: new Map() }) as Record<string, Json>),
    format: 'dewbeat-plan',
    format_version: formatVersion,
    zone: clock.zone,
    site_id: siteId,
    site_day: siteDay,
    revision,
    valid_until: clock.isoOf(endMs),
  };
}

/** The document's bytes: canonical JSON after RFC 8785 (sorted keys, no spaces, ECMAScript numbers). */
export function canonicalJson(document: Json): string {
  return canonicalize(document) ?? 'null';
}

/** SHA-256, lower-case hex, over the canonical JSON of a plan's document. */
export function planDigest(document: PlanDocument): string {
  return createHash('sha256').update(canonicalJson(document), 'utf8').digest('hex');
}

/** The digest's beginning in two groups of four: enough to tell two revisions apart on paper. */
export function shortDigest(digest: string): string {
  return `${digest.slice(0, 4)} ${digest.slice(4, 8)}`;
}

/** `grossMm` becomes `gross_mm`, `dryAtMs` becomes `dry_at`: an ISO text has no unit. */
export function wireKey(key: string): string {
  const word = isInstantKey(key) ? key.slice(0, -2) : key;
  return word
    .replace(/KPa$/, '_kpa')
    .replace(/([a-z\d])([A-Z])/g, '$1_$2')
    .replace(/([A-Z])([A-Z][a-z])/g, '$1_$2')
    .toLowerCase();
}

interface Place {
  key: string;
  path: string;
  clock: SiteClock;
  /** Names on the wire by key: a big plan has few keys and ten thousands of fields. */
  names: Map<string, string>;
}

function nameOf(key: string, { names }: Place): string {
  const known = names.get(key);
  if (known !== undefined) return known;
  const name = wireKey(key);
  names.set(key, name);
  return name;
}

function toWire(value: unknown, place: Place): Json {
  if (typeof value === 'number') return numberToWire(value, place);
  if (value === null || typeof value === 'string' || typeof value === 'boolean') return value;
  if (Array.isArray(value)) {
    return value.map((item, i) => toWire(item, { ...place, path: `${place.path}[${i}]` }));
  }
  if (typeof value === 'object') {
    const pairs = new Map<string, Json>();
    for (const [key, item] of Object.entries(value)) {
      if (item === undefined) continue;
      const path = `${place.path}.${key}`;
      const name = nameOf(key, place);
      // One of the two would stand outside the digest.
      if (pairs.has(name)) {
        throw new RangeError(
          `${path}: another field has the same name on the wire (got ${name}); name it otherwise`,
        );
      }
      pairs.set(name, toWire(item, { ...place, key, path }));
    }
    return Object.fromEntries(pairs);
  }
  throw new RangeError(
    `${place.path}: a plan holds plain values only (got ${typeof value}); leave the field out`,
  );
}

function numberToWire(value: number, place: Place): Json {
  if (!Number.isFinite(value)) {
    throw new RangeError(
      `${place.path}: must be a finite number (got ${value}); make the plan again`,
    );
  }
  if (isInstantKey(place.key)) return place.clock.isoOf(value);
  const scale = 10 ** decimalsOf(place.key);
  // Adding zero turns a negative zero into zero.
  return Math.round(value * scale) / scale + 0;
}

function isInstantKey(key: string): boolean {
  return key.endsWith('Ms');
}

function decimalsOf(key: string): number {
  const word = DECIMALS_BY_WORD[key];
  if (word !== undefined) return word;
  const rule = DECIMALS_BY_SUFFIX.find(([suffix]) => key.endsWith(suffix));
  return rule?.[1] ?? DECIMALS_OTHERWISE;
}

/** Of a confirm only its instant counts here. */
interface When {
  readonly confirmation: Pick<Confirmation, 'atMs'>;
}

/**
 * The runs of a confirmed plan that may start, in order of time, as they stand now: without the held
 * beds, and without the cycles that had begun before the confirm. Such a cycle goes as a whole, also
 * where its later stations were still to come: half a cycle was never shown to anyone.
 */
export function standingRuns(confirmed: Standing): Run[] {
  const { plan, change } = confirmed;
  if (change !== undefined) return inTimeOrder(changedRuns(standingCycles(confirmed), plan));
  const held = new Set(confirmed.heldBedIds);
  const missed = new Set(missedRuns(confirmed));
  return inTimeOrder(plan.runs.filter((run) => !held.has(run.bedId) && !missed.has(run)));
}

/** What may still be changed or taken out of a confirmed plan. */
type Standing = Pick<ConfirmedPlan, 'plan' | 'heldBedIds' | 'change'> & When;

/** The same as cycles, each with what it stands for. */
export function standingCycles(confirmed: Standing): StandingCycle[] {
  const { plan, change } = confirmed;
  const held = new Set(confirmed.heldBedIds);
  const missed = new Set(missedRuns(confirmed).map(cycleKey));
  const cycles = change?.cycles ?? cyclesOfPlan(plan);
  return cycles.filter(({ bedId, origin, runs }) => {
    if (held.has(bedId) || runs.length === 0) return false;
    return !('cycle' in origin && missed.has(cycleKey({ bedId, cycle: origin.cycle })));
  });
}

/** The runs of the cycles that had begun before the confirm, in order of time: never made up for. */
export function missedRuns(confirmed: Pick<ConfirmedPlan, 'plan'> & When): Run[] {
  const beginsMs = new Map<string, number>();
  for (const run of confirmed.plan.runs) {
    const begunMs = beginsMs.get(cycleKey(run)) ?? Number.POSITIVE_INFINITY;
    beginsMs.set(cycleKey(run), Math.min(begunMs, run.startMs));
  }
  const confirmedMs = confirmed.confirmation.atMs;
  return inTimeOrder(
    confirmed.plan.runs.filter((run) => (beginsMs.get(cycleKey(run)) ?? 0) < confirmedMs),
  );
}

function cycleKey(run: Pick<Run, 'bedId' | 'cycle'>): string {
  return JSON.stringify([run.bedId, run.cycle]);
}

function inTimeOrder(runs: Run[]): Run[] {
  return runs.toSorted(
    (a, b) =>
      a.startMs - b.startMs || compare(a.bedId, b.bedId) || compare(a.stationId, b.stationId),
  );
}

function compare(a: string, b: string): number {
  if (a === b) return 0;
  return a < b ? -1 : 1;
}

export const RUNS_CSV_HEADER = 'bed,station,start,run_seconds,gross_mm,net_mm,cycle,reason';

/** A reason in a few plain words; the daemon's wording, so that page, card and CSV say the same. */
type SayReason = (reason: Reason) => string;

/**
 * Runs as CSV after RFC 4180 (CRLF, quoted where needed), one row for each run in the order given;
 * `start` is ISO 8601 with the site's offset.
 */
export function runsCsv(given: {
  runs: readonly Run[];
  plan: DayPlan | null;
  clock: SiteClock;
  sayReason: SayReason;
}): string {
  const rows = given.runs.map((run) => [
    run.bedId,
    run.stationId,
    given.clock.isoOf(run.startMs),
    String(Math.round(run.runS)),
    run.grossMm.toFixed(3),
    run.netMm.toFixed(3),
    String(run.cycle),
    reasonOf(run, given),
  ]);
  return `${RUNS_CSV_HEADER}\r\n${csvText(rows)}`;
}

function reasonOf(run: Run, given: { plan: DayPlan | null; sayReason: SayReason }): string {
  const bed = given.plan?.beds.find((candidate) => candidate.bedId === run.bedId);
  const cycle = bed?.cycles.find((candidate) => candidate.cycle === run.cycle);
  return (cycle?.reasons ?? []).map(given.sayReason).join('; ');
}
