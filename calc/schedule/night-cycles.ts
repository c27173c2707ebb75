import type { Stage, StageName } from '../growth/stages.ts';
import type { BedBalance } from './bed-balance.ts';
import { drainedFor, firstDryMs, roomAt } from './bed-moisture.ts';
import { laidCycle } from './bed-plan.ts';
import { stationWaterOf } from './cycle-block.ts';
import { STEP_MS } from './demand.ts';
import { placeCycles } from './placement.ts';
import type { PlacedCycle, PlacementInput } from './placement-pass.ts';
import type { KeptCycle } from './run.ts';
import type { Bed } from './site.ts';
import { blockAt, findObstacle, floorToSlot, type PlacementBed } from './start-search.ts';
import { bookRuns, bookSupply, SLOT_MS, supplyLoad, supplyTimeline } from './supply-timeline.ts';
import {
  isFirstNight,
  isWindyAllNight,
  type NightException,
  type NightPart,
  type NightWater,
  takesDeepRefill,
} from './water-hours.ts';

/** A day as it is placed, with what the night has to know of its beds. */
export interface NightDay extends Omit<PlacementInput, 'slotMs' | 'beds'> {
  beds: readonly (PlacementBed & { bed: Bed })[];
  siteDay: string;
  night: NightWater;
  stages: Readonly<Record<StageName, Stage>>;
}

/**
 * Cycles that a bed owes in a part of the night under an exception of the site, laid like those of
 * the day; the beds' balances are brought up to date in place.
 */
export function nightCycles(
  day: NightDay,
  which: 'early' | 'late',
  part: NightPart,
): PlacedCycle[] {
  const { night, siteDay, isWindyAt } = day;
  if (part.startMs >= part.endMs) return [];
  const windy =
    night.dryWind && isWindyAt !== undefined && isWindyAllNight(part, (ms) => isWindyAt(ms));
  const exceptionOf = new Map<string, NightException>();
  for (const { bed, balance } of day.beds) {
    const emptyMs = firstDryMs(balance, part.startMs);
    if (night.firstNight && isFirstNight(bed.seededOn, siteDay, which)) {
      exceptionOf.set(bed.id, 'first_night');
    } else if (windy && emptyMs !== null && emptyMs < part.untilMs) {
      exceptionOf.set(bed.id, 'dry_wind');
    }
  }
  const beds = day.beds.filter(({ bed }) => exceptionOf.has(bed.id));
  if (beds.length === 0) return [];
  const window = {
    firstStartMs: part.startMs,
    lastEndMs: part.endMs,
    nextFirstStartMs: part.untilMs,
  };
  const { cycles } = placeCycles({ ...day, beds, window, startMs: part.startMs });
  return cycles.map((cycle) => atNight(cycle, exceptionOf.get(cycle.bedId) ?? 'dry_wind'));
}

/**
 * The planned deep refill: one cycle on each bed with roots whose store has room for the least dose
 * of its stage besides the rain that is foretold until tomorrow's first start, the driest bed first,
 * as late in the refill's hours as it fits.
 */
export function deepRefills(day: NightDay): PlacedCycle[] {
  const { night, limits, kept, before, driftAt, stages } = day;
  if (night.deepRefill === null) return [];
  const startMs = Math.max(night.deepRefill.startMs, day.startMs);
  const { endMs } = night.deepRefill;
  const untilMs = day.window.nextFirstStartMs;
  if (startMs >= endMs) return [];
  const timeline = supplyTimeline(limits, { startMs, endMs, slotMs: SLOT_MS, before });
  const stationOf = new Map(day.beds.flatMap((bed) => bed.stations.map((one) => [one.id, one])));
  for (const cycle of kept) bookRuns(timeline, cycle.runs, stationOf);
  const search = { limits, window: { ...day.window, lastEndMs: endMs }, timeline, driftAt };
  const cycles: PlacedCycle[] = [];
  const leftFraction = ({ balance }: PlacementBed) =>
    1 - roomAt(balance, startMs) / balance.capacityMm;
  const thirsty = day.beds
    .filter(({ bed }) => takesDeepRefill(bed.stage))
    .toSorted((a, b) => leftFraction(a) - leftFraction(b) || (a.bed.id < b.bed.id ? -1 : 1));
  for (const placing of thirsty) {
    const { bed, balance } = placing;
    const leastMm = Math.min(stages[bed.stage].doseMm[0], balance.capacityMm / 2);
    const freeMs = Math.max(
      startMs,
      ...kept
        .filter((cycle) => cycle.bedId === bed.id)
        .map((cycle) => cycle.endMs + limits.restMin * 60_000),
    );
    for (let atMs = floorToSlot(endMs, SLOT_MS); atMs >= freeMs; atMs -= SLOT_MS) {
      const roomMm = Math.max(0, roomAt(balance, atMs) - rainAheadMm(balance, atMs, untilMs));
      const netMm = Math.min(roomMm, placing.doseCapMm);
      const candidate = { startMs: atMs, roomMm, ...blockAt(placing, search, atMs, netMm) };
      const { block, driftLossFraction } = candidate;
      const doneMs = atMs + block.durationS * 1000;
      if (doneMs > endMs) continue;
      if (roomMm < Math.max(leastMm, block.netMm)) break;
      if (findObstacle(placing, search, candidate) !== null) continue;
      bookSupply(timeline, supplyLoad(timeline, block), atMs);
      const drainedMm = drainedFor(balance, stationWaterOf(block, atMs));
      const placed = { bedId: bed.id, startMs: atMs, block, driftLossFraction, drainedMm };
      cycles.push(atNight({ ...placed, reasons: [] }, 'deep_refill'));
      break;
    }
  }
  return cycles;
}

/** Rain that is foretold from an instant to another, mm; a step that has begun counts whole. */
function rainAheadMm({ grid, demand }: BedBalance, fromMs: number, untilMs: number): number {
  return demand.rainMm.reduce((sum, mm, step) => {
    const atMs = grid.startMs + step * STEP_MS;
    return atMs + STEP_MS > fromMs && atMs < untilMs ? sum + mm : sum;
  }, 0);
}

/** Cycles that stand already, as others laid after them see them. */
export function asKeptCycles(cycles: readonly PlacedCycle[]): KeptCycle[] {
  return cycles.map(laidCycle).map(({ runs, ...cycle }) => ({
    ...cycle,
    runs: runs.map((run) => ({ ...run, cycle: 0 })),
  }));
}

function atNight(cycle: PlacedCycle, exception: NightException): PlacedCycle {
  return { ...cycle, reasons: [{ code: 'night_water', exception }, ...cycle.reasons] };
}
