import { type RanBefore, waterLeft } from './allowances.ts';
import type { CycleBlock } from './cycle-block.ts';
import {
  addTime,
  breaksPumpRest,
  firstNotBefore,
  type PumpTimes,
  removeTime,
} from './pump-rest.ts';
import type { Run } from './run.ts';
import type { Limits, Station, SupplyLimit } from './site.ts';

/** Starts are tried on this grid, and flow is followed on it, unless the caller names another. */
export const SLOT_MS = 30_000;
const MINUTE_MS = 60_000;

/**
 * What the pump, the pipes and the valves already carry, slot by slot. A run counts in every slot
 * that it touches, so the booked flow is never below the true one; where that would be too much, the
 * runs that begin or end within the slot are looked at by the second.
 */
export interface SupplyTimeline extends PumpTimes {
  readonly startMs: number;
  readonly slotMs: number;
  readonly slots: number;
  readonly startGapMs: number;
  readonly pump: FlowTrack;
  readonly mains: Map<string, FlowTrack>;
  readonly laterals: Map<string, FlowTrack>;
  readonly stationsAtOnce: FlowTrack;
  /** Valve starts in order, epoch ms. */
  readonly starts: number[];
  readonly ends: number[];
  /** The flow that each of them opens. */
  readonly startFlowsLPerMin: number[];
  /** Most by which the pump's flow may rise within a minute; null: any. */
  readonly pumpRiseLPerMin: number | null;
  /** What is left of the allowance that has the least left, and what of it is booked. */
  readonly water: { limit: SupplyLimit; allowedL: number; bookedL: number };
}

/** An empty timeline over the given stretch of time. */
export function supplyTimeline(
  limits: Limits,
  span: { startMs: number; endMs: number; slotMs?: number; before?: RanBefore | undefined },
): SupplyTimeline {
  const slotMs = span.slotMs ?? SLOT_MS;
  const start = Math.floor(span.startMs / slotMs) * slotMs;
  const slots = Math.max(1, Math.ceil((span.endMs - start) / slotMs));
  const track = (limit: SupplyLimit, allowedLPerMin: number): FlowTrack => ({
    limit,
    allowedLPerMin,
    bookedLPerMin: new Float64Array(slots),
    edges: new Map(),
  });
  return {
    startMs: start,
    slotMs,
    slots,
    startGapMs: limits.startGapS * 1000,
    pump: track({ kind: 'pump' }, limits.pumpFlowLPerMin),
    mains: new Map(
      limits.mains.map((pipe) => [pipe.id, track({ kind: 'main', id: pipe.id }, pipe.flowLPerMin)]),
    ),
    laterals: new Map(
      limits.laterals.map((pipe) => [
        pipe.id,
        track({ kind: 'lateral', id: pipe.id }, pipe.flowLPerMin),
      ]),
    ),
    stationsAtOnce: track({ kind: 'stations_at_once' }, limits.stationsAtOnce),
    starts: [],
    ends: [],
    pumpRestMs: limits.pumpRestS * 1000,
    pumpStoppedMs: span.before?.pumpStoppedMs ?? null,
    startFlowsLPerMin: [],
    pumpRiseLPerMin: limits.pumpRiseLPerMin,
    water: { ...waterLeft(limits, span.before), bookedL: 0 },
  };
}

/** What one cycle asks of each limit, slot by slot from its start: the same for every start. */
export interface SupplyLoad {
  startOffsetsMs: number[];
  startFlowsLPerMin: number[];
  endOffsetsMs: number[];
  durationMs: number;
  waterL: number;
  tracks: { track: FlowTrack; askedLPerMin: Float64Array; runs: TrackRun[] }[];
}

/** Works out a cycle's load once, so that many starts can be tried cheaply. */
export function supplyLoad(timeline: SupplyTimeline, block: CycleBlock): SupplyLoad {
  const slots = Math.ceil((block.durationS * 1000) / timeline.slotMs);
  const asked = new Map<FlowTrack, { askedLPerMin: Float64Array; runs: TrackRun[] }>();
  for (const run of block.runs) {
    const startMs = run.offsetS * 1000;
    const endMs = (run.offsetS + run.runS) * 1000;
    const first = Math.floor(startMs / timeline.slotMs);
    const end = Math.ceil(endMs / timeline.slotMs);
    for (const [track, amount] of tracksOf(timeline, run.station)) {
      const own = asked.get(track) ?? { askedLPerMin: new Float64Array(slots), runs: [] };
      asked.set(track, own);
      const { askedLPerMin } = own;
      for (let slot = first; slot < end; slot++) {
        askedLPerMin[slot] = (askedLPerMin[slot] ?? 0) + amount;
      }
      own.runs.push({ startMs, endMs, flowLPerMin: amount });
    }
  }
  return {
    startOffsetsMs: block.runs.map((run) => run.offsetS * 1000),
    startFlowsLPerMin: block.runs.map((run) => run.station.flowLPerMin),
    endOffsetsMs: block.runs.map((run) => (run.offsetS + run.runS) * 1000),
    durationMs: block.durationS * 1000,
    waterL: block.runs.reduce((sum, run) => sum + runLitres(run.station, run.runS), 0),
    tracks: [...asked].map(([track, own]) => ({ track, ...own })),
  };
}

/** The first limit that the load would break when it starts then, or null when it fits. */
export function supplyConflict(
  timeline: SupplyTimeline,
  load: SupplyLoad,
  startMs: number,
): SupplyLimit | null {
  const { water } = timeline;
  if (water.bookedL + load.waterL > water.allowedL + 1e-6) return water.limit;
  const first = Math.floor((startMs - timeline.startMs) / timeline.slotMs);
  for (const { track, askedLPerMin, runs } of load.tracks) {
    for (let slot = 0; slot < askedLPerMin.length; slot++) {
      const flow = (track.bookedLPerMin[first + slot] ?? 0) + (askedLPerMin[slot] ?? 0);
      if (flow <= track.allowedLPerMin + 1e-9) continue;
      const slotMs = timeline.startMs + (first + slot) * timeline.slotMs;
      const span = { startMs: slotMs, endMs: slotMs + timeline.slotMs };
      if (
        peakWithin(span, track.edges.get(first + slot), { runs, startMs }, flow) >
        track.allowedLPerMin + 1e-9
      ) {
        return track.limit;
      }
    }
  }
  if (risesTooFast(timeline, load, startMs)) return { kind: 'pump_rise' };
  for (const offsetMs of load.startOffsetsMs) {
    if (startsTooClose(timeline, startMs + offsetMs)) return { kind: 'start_gap' };
  }
  if (breaksPumpRest(timeline, { startMs, endMs: startMs + load.durationMs })) {
    return { kind: 'pump_rest' };
  }
  return null;
}

/** The same with a load's runs from its start on. */
function setLoadEdges(
  timeline: SupplyTimeline,
  load: SupplyLoad,
  startMs: number,
  isBooked: boolean,
): void {
  for (const { track, runs } of load.tracks) {
    for (const run of runs) {
      const { flowLPerMin } = run;
      const placed = { startMs: startMs + run.startMs, endMs: startMs + run.endMs, flowLPerMin };
      setEdges(timeline, track, placed, isBooked);
    }
  }
}

/** Books a load that `supplyConflict` has passed. */
export function bookSupply(timeline: SupplyTimeline, load: SupplyLoad, startMs: number): void {
  timeline.water.bookedL += load.waterL;
  const first = Math.floor((startMs - timeline.startMs) / timeline.slotMs);
  for (const { track, askedLPerMin } of load.tracks) {
    for (let slot = 0; slot < askedLPerMin.length; slot++) {
      const index = first + slot;
      track.bookedLPerMin[index] = (track.bookedLPerMin[index] ?? 0) + (askedLPerMin[slot] ?? 0);
    }
  }
  for (const [at, offsetMs] of load.startOffsetsMs.entries()) {
    addStart(timeline, startMs + offsetMs, load.startFlowsLPerMin[at] ?? 0);
  }
  for (const offsetMs of load.endOffsetsMs) addTime(timeline.ends, startMs + offsetMs);
  setLoadEdges(timeline, load, startMs, true);
}

/** Takes back what `bookSupply` has booked. */
export function unbookSupply(timeline: SupplyTimeline, load: SupplyLoad, startMs: number): void {
  timeline.water.bookedL -= load.waterL;
  const first = Math.floor((startMs - timeline.startMs) / timeline.slotMs);
  for (const { track, askedLPerMin } of load.tracks) {
    for (let slot = 0; slot < askedLPerMin.length; slot++) {
      const index = first + slot;
      track.bookedLPerMin[index] = (track.bookedLPerMin[index] ?? 0) - (askedLPerMin[slot] ?? 0);
    }
  }
  for (const [at, offsetMs] of load.startOffsetsMs.entries()) {
    removeStart(timeline, startMs + offsetMs, load.startFlowsLPerMin[at] ?? 0);
  }
  for (const offsetMs of load.endOffsetsMs) removeTime(timeline.ends, startMs + offsetMs);
  setLoadEdges(timeline, load, startMs, false);
}

/** Books runs that stand already, whatever the limits say: they are running. */
export function bookRuns(
  timeline: SupplyTimeline,
  runs: readonly Run[],
  stationOf: ReadonlyMap<string, Station>,
): void {
  for (const run of runs) {
    const station = stationOf.get(run.stationId);
    if (station === undefined) continue;
    timeline.water.bookedL += runLitres(station, run.runS);
    addStart(timeline, run.startMs, station.flowLPerMin);
    addTime(timeline.ends, run.startMs + run.runS * 1000);
    const first = Math.floor((run.startMs - timeline.startMs) / timeline.slotMs);
    const end = Math.ceil((run.startMs + run.runS * 1000 - timeline.startMs) / timeline.slotMs);
    for (const [track, amount] of tracksOf(timeline, station)) {
      for (let slot = Math.max(first, 0); slot < Math.min(end, timeline.slots); slot++) {
        track.bookedLPerMin[slot] = (track.bookedLPerMin[slot] ?? 0) + amount;
      }
      const endMs = run.startMs + run.runS * 1000;
      setEdges(timeline, track, { startMs: run.startMs, endMs, flowLPerMin: amount }, true);
    }
  }
}

function runLitres(station: Station, runS: number): number {
  return (station.flowLPerMin * runS) / 60;
}

/** Whether the valves that open within any one minute would ask for more than may come up. */
function risesTooFast(timeline: SupplyTimeline, load: SupplyLoad, startMs: number): boolean {
  const { pumpRiseLPerMin, starts, startFlowsLPerMin } = timeline;
  if (pumpRiseLPerMin === null) return false;
  const opened = load.startOffsetsMs.map((offsetMs, at) => ({
    atMs: startMs + offsetMs,
    flowLPerMin: load.startFlowsLPerMin[at] ?? 0,
  }));
  const untilMs = startMs + Math.max(...load.startOffsetsMs) + MINUTE_MS;
  for (let at = firstNotBefore(starts, startMs - MINUTE_MS); at < starts.length; at++) {
    const atMs = starts[at] ?? Infinity;
    if (atMs >= untilMs) break;
    opened.push({ atMs, flowLPerMin: startFlowsLPerMin[at] ?? 0 });
  }
  return opened.some(({ atMs }) => {
    const withinMinute = opened.filter((one) => one.atMs >= atMs && one.atMs < atMs + MINUTE_MS);
    const rise = withinMinute.reduce((sum, one) => sum + one.flowLPerMin, 0);
    return withinMinute.length > 1 && rise > pumpRiseLPerMin + 1e-9;
  });
}

function addStart(timeline: SupplyTimeline, atMs: number, flowLPerMin: number): void {
  const place = firstNotBefore(timeline.starts, atMs);
  timeline.starts.splice(place, 0, atMs);
  timeline.startFlowsLPerMin.splice(place, 0, flowLPerMin);
}

/** Of several starts in one moment the one of this flow goes. */
function removeStart(timeline: SupplyTimeline, atMs: number, flowLPerMin: number): void {
  let place = firstNotBefore(timeline.starts, atMs);
  while (timeline.starts[place + 1] === atMs && timeline.startFlowsLPerMin[place] !== flowLPerMin) {
    place += 1;
  }
  timeline.starts.splice(place, 1);
  timeline.startFlowsLPerMin.splice(place, 1);
}

function tracksOf(timeline: SupplyTimeline, station: Station): [FlowTrack, number][] {
  const tracks: [FlowTrack, number][] = [
    [timeline.pump, station.flowLPerMin],
    [timeline.stationsAtOnce, 1],
  ];
  const main = station.mainId === null ? undefined : timeline.mains.get(station.mainId);
  const lateral = station.lateralId === null ? undefined : timeline.laterals.get(station.lateralId);
  if (main !== undefined) tracks.push([main, station.flowLPerMin]);
  if (lateral !== undefined) tracks.push([lateral, station.flowLPerMin]);
  return tracks;
}

function startsTooClose(timeline: SupplyTimeline, startMs: number): boolean {
  if (timeline.startGapMs === 0) return false;
  const next = firstNotBefore(timeline.starts, startMs);
  const after = timeline.starts[next];
  const before = timeline.starts[next - 1];
  return (
    (after !== undefined && after - startMs < timeline.startGapMs) ||
    (before !== undefined && startMs - before < timeline.startGapMs)
  );
}

/** What one limit of the supply already carries, slot by slot. */
export interface FlowTrack {
  limit: SupplyLimit;
  allowedLPerMin: number;
  bookedLPerMin: Float64Array;
  /** Runs that begin or end within a slot, by slot. */
  edges: Map<number, TrackRun[]>;
}

/** A run on one track; its flow counts valves where the track does. */
export interface TrackRun {
  startMs: number;
  endMs: number;
  flowLPerMin: number;
}

/**
 * The most that runs draw at once within a slot, where all that touch it sum up to `touchingLPerMin`:
 * those that cover it whole are in every second of it, the others only while they last.
 */
export function peakWithin(
  slot: { startMs: number; endMs: number },
  booked: readonly TrackRun[] | undefined,
  asked: { runs: readonly TrackRun[]; startMs: number },
  touchingLPerMin: number,
): number {
  const parts = [...(booked ?? [])];
  for (const run of asked.runs) {
    const startMs = asked.startMs + run.startMs;
    const endMs = asked.startMs + run.endMs;
    const isTouching = startMs < slot.endMs && endMs > slot.startMs;
    const isWhole = startMs <= slot.startMs && endMs >= slot.endMs;
    if (isTouching && !isWhole) parts.push({ ...run, startMs, endMs });
  }
  const partsLPerMin = parts.reduce((sum, part) => sum + part.flowLPerMin, 0);
  const drawnAt = (atMs: number) =>
    parts.reduce(
      (sum, part) => (part.startMs <= atMs && part.endMs > atMs ? sum + part.flowLPerMin : sum),
      0,
    );
  const peak = Math.max(
    drawnAt(slot.startMs),
    ...parts.map((part) => (part.startMs > slot.startMs ? drawnAt(part.startMs) : 0)),
  );
  return touchingLPerMin - partsLPerMin + peak;
}

/** Notes a run in the slots that it covers only in part, or takes it out again. */
export function setEdges(
  { startMs: originMs, slotMs }: { startMs: number; slotMs: number },
  track: FlowTrack,
  run: TrackRun,
  isBooked: boolean,
): void {
  const first = Math.floor((run.startMs - originMs) / slotMs);
  const last = Math.ceil((run.endMs - originMs) / slotMs) - 1;
  for (const slot of first === last ? [first] : [first, last]) {
    const fromMs = originMs + slot * slotMs;
    if (run.startMs <= fromMs && run.endMs >= fromMs + slotMs) continue;
    const edges = track.edges.get(slot) ?? [];
    track.edges.set(slot, edges);
    if (isBooked) edges.push(run);
    else {
      const at = edges.findIndex(
        (one) =>
          one.startMs === run.startMs &&
          one.endMs === run.endMs &&
          one.flowLPerMin === run.flowLPerMin,
      );
      if (at !== -1) edges.splice(at, 1);
    }
  }
}
