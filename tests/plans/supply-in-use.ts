import type { Limits, Station } from '../../calc/schedule/site.ts';
import type { DayFacts } from './day-facts.ts';

/** A run as the supply sees it, with the station's flow and pipes. */
export interface SupplyRun {
  station: Station;
  startMs: number;
  endMs: number;
}

/** A limit of the supply that is passed, named as a plan names it. */
export type Passed = string;

const MINUTE_MS = 60_000;

/** Every run of a plan as the supply sees it. */
export function supplyRuns({ input, plan }: DayFacts): (SupplyRun & { bedId: string })[] {
  const stationOf = new Map(input.site.stations.map((one) => [one.id, one]));
  return plan.runs.map(({ bedId, stationId, startMs, runS }) => {
    const station = stationOf.get(stationId);
    if (station === undefined) throw new Error(`a run of no station: ${stationId}`);
    return { bedId, station, startMs, endMs: startMs + runS * 1000 };
  });
}

/** What each second draws: pump, stations at once, each main and each lateral. */
export function resourcesOf(
  limits: Limits,
): { name: Passed; most: number; drawOf(station: Station): number }[] {
  return [
    { name: 'pump', most: limits.pumpFlowLPerMin, drawOf: (one) => one.flowLPerMin },
    { name: 'stations_at_once', most: limits.stationsAtOnce, drawOf: () => 1 },
    ...limits.mains.map((pipe) => ({
      name: `main ${pipe.id}`,
      most: pipe.flowLPerMin,
      drawOf: (one: Station) => (one.mainId === pipe.id ? one.flowLPerMin : 0),
    })),
    ...limits.laterals.map((pipe) => ({
      name: `lateral ${pipe.id}`,
      most: pipe.flowLPerMin,
      drawOf: (one: Station) => (one.lateralId === pipe.id ? one.flowLPerMin : 0),
    })),
  ];
}

/** Seconds of a day in which a resource draws more than so much, counted from the day's start. */
interface Drawn {
  perSecond: Float64Array;
  /** By flow asked: in how many seconds up to each one it does not fit. */
  tooMuch: Map<number, Int32Array>;
}

/**
 * The supply as runs use it, second by second, to be asked whether more runs fit. What it says of a
 * limit follows from the runs alone.
 */
export class SupplyInUse {
  readonly #facts: DayFacts;
  readonly #fromMs: number;
  readonly #runs: readonly SupplyRun[];
  readonly #starts: readonly { atMs: number; flowLPerMin: number }[];
  readonly #resources: (ReturnType<typeof resourcesOf>[number] & Drawn)[];
  readonly #usedL: number;

  constructor(facts: DayFacts, runs: readonly SupplyRun[]) {
    this.#facts = facts;
    this.#fromMs = facts.input.dayStartMs;
    this.#runs = runs;
    this.#starts = runs
      .map(({ startMs, station }) => ({ atMs: startMs, flowLPerMin: station.flowLPerMin }))
      .sort((a, b) => a.atMs - b.atMs);
    const seconds = (facts.input.nextDayStartMs - this.#fromMs) / 1000;
    this.#resources = resourcesOf(facts.limits).map((one) => {
      const perSecond = new Float64Array(seconds);
      for (const run of runs) {
        const draw = one.drawOf(run.station);
        const [from, to] = [this.#second(run.startMs), this.#second(run.endMs)];
        for (let at = from; draw > 0 && at < to; at++) perSecond[at] = (perSecond[at] ?? 0) + draw;
      }
      return { ...one, perSecond, tooMuch: new Map() };
    });
    this.#usedL = runs.reduce((sum, run) => sum + litres(run), 0);
  }

  /** The limits that these runs would pass beside the others; none: they fit. */
  passedBy(asked: readonly SupplyRun[]): Passed[] {
    const passed = this.#resources
      .filter((resource) => this.#isOver(resource, asked))
      .map((resource) => resource.name);
    if (this.#startsTooClose(asked)) passed.push('start_gap');
    if (this.#risesTooFast(asked)) passed.push('pump_rise');
    if (this.#restsTooShort(asked)) passed.push('pump_rest');
    return [...passed, ...this.#allowancesPassed(asked)];
  }

  #second(atMs: number): number {
    return Math.round((atMs - this.#fromMs) / 1000);
  }

  #isOver(
    resource: ReturnType<typeof resourcesOf>[number] & Drawn,
    asked: readonly SupplyRun[],
  ): boolean {
    const edges = [...new Set(asked.flatMap((run) => [run.startMs, run.endMs]))].sort(
      (a, b) => a - b,
    );
    for (const [index, fromMs] of edges.entries()) {
      const toMs = edges[index + 1];
      if (toMs === undefined) break;
      const draw = asked
        .filter((run) => run.startMs <= fromMs && run.endMs > fromMs)
        .reduce((sum, run) => sum + resource.drawOf(run.station), 0);
      if (draw === 0) continue;
      let counts = resource.tooMuch.get(draw);
      if (counts === undefined) {
        counts = new Int32Array(resource.perSecond.length + 1);
        for (const [at, drawn] of resource.perSecond.entries()) {
          counts[at + 1] = (counts[at] ?? 0) + (drawn + draw > resource.most + 1e-6 ? 1 : 0);
        }
        resource.tooMuch.set(draw, counts);
      }
      if ((counts[this.#second(toMs)] ?? 0) > (counts[this.#second(fromMs)] ?? 0)) return true;
    }
    return false;
  }

  #nearStarts(fromMs: number, toMs: number): { atMs: number; flowLPerMin: number }[] {
    return this.#starts.filter(({ atMs }) => atMs > fromMs && atMs < toMs);
  }

  #startsTooClose(asked: readonly SupplyRun[]): boolean {
    const gapMs = this.#facts.limits.startGapS * 1000;
    if (gapMs === 0) return false;
    return asked.some(
      (run, index) =>
        this.#nearStarts(run.startMs - gapMs, run.startMs + gapMs).length > 0 ||
        asked.some(
          (other, at) => at !== index && Math.abs(other.startMs - run.startMs) < gapMs - 0.5,
        ),
    );
  }

  #risesTooFast(asked: readonly SupplyRun[]): boolean {
    const most = this.#facts.limits.pumpRiseLPerMin;
    if (most === null) return false;
    const own = asked.map(({ startMs, station }) => ({
      atMs: startMs,
      flowLPerMin: station.flowLPerMin,
    }));
    const [first, last] = spanOf(asked);
    const all = [...own, ...this.#nearStarts(first - MINUTE_MS, last + MINUTE_MS)];
    return all.some(({ atMs }) => {
      const within = all.filter((one) => one.atMs >= atMs && one.atMs < atMs + MINUTE_MS);
      const rise = within.reduce((sum, one) => sum + one.flowLPerMin, 0);
      return within.length > 1 && rise > most + 1e-6;
    });
  }

  /** A standstill of the pump that the runs bring about or shorten below its rest. */
  #restsTooShort(asked: readonly SupplyRun[]): boolean {
    if (this.#facts.limits.pumpRestS === 0) return false;
    return shortStandstills(this.#facts, [...this.#runs, ...asked]) > 0;
  }

  #allowancesPassed(asked: readonly SupplyRun[]): Passed[] {
    const { limits, input } = this.#facts;
    const moreL = this.#usedL + asked.reduce((sum, run) => sum + litres(run), 0);
    const over = (allowedL: number | null, beforeL: number) =>
      allowedL !== null && beforeL + moreL > allowedL + 1e-6;
    const passed: Passed[] = [];
    if (over(limits.dayAllowanceL, input.ranBefore?.dayL ?? 0)) passed.push('allowance');
    if (over(limits.seasonAllowanceL, input.ranBefore?.seasonL ?? 0)) {
      passed.push('season_allowance');
    }
    return passed;
  }
}

/** How often the pump starts again before it has rested. */
export function shortStandstills(
  { limits, input }: DayFacts,
  runs: readonly Pick<SupplyRun, 'startMs' | 'endMs'>[],
): number {
  let stoppedMs = input.ranBefore?.pumpStoppedMs ?? Number.NEGATIVE_INFINITY;
  let count = 0;
  for (const run of runs.toSorted((a, b) => a.startMs - b.startMs)) {
    const standsMs = run.startMs - stoppedMs;
    if (standsMs > 0 && standsMs < limits.pumpRestS * 1000) count += 1;
    stoppedMs = Math.max(stoppedMs, run.endMs);
  }
  return count;
}

export function litres({ station, startMs, endMs }: SupplyRun): number {
  return (station.flowLPerMin * (endMs - startMs)) / MINUTE_MS;
}

function spanOf(runs: readonly SupplyRun[]): [number, number] {
  return [Math.min(...runs.map((run) => run.startMs)), Math.max(...runs.map((run) => run.startMs))];
}
