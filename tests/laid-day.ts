import { copyBalance, dryBalance } from '../calc/schedule/bed-balance.ts';
import { drainedFor } from '../calc/schedule/bed-moisture.ts';
import { blockOfTurns, stationWaterOf } from '../calc/schedule/cycle-block.ts';
import { type DayLayout, layoutOf } from '../calc/schedule/day-layout.ts';
import type { PlacedCycle, PlacementInput } from '../calc/schedule/placement-pass.ts';
import type { KeepOff, KeepOffKind, Limits, Station } from '../calc/schedule/site.ts';
import type { PlacementBed } from '../calc/schedule/start-search.ts';
import { SLOT_MS } from '../calc/schedule/supply-timeline.ts';
import { smallDay, smallStation } from './small-day.ts';
import { unsureSand, unsureState } from './unsure-sand.ts';

/** Ten in the morning of an invented day of four hours: water until the third, nothing to save it for after the fourth. */
const START_MS = Date.parse('2026-07-01T10:00:00Z');
export const STEPS = 48;

/** So many minutes after the day's begin. */
export const at = (minutes: number) => START_MS + minutes * 60_000;
/** And back. */
export const minutesOf = (instantMs: number) => (instantMs - START_MS) / 60_000;

/** A bed by hand: 1.5 mm when full, losing 0.05 mm in five minutes; one turn of two minutes brings 0.6 mm. */
export interface HandBed {
  id: string;
  /** What it has at the begin. */
  storeMm?: number;
  capacityMm?: number;
  /** By how much less one in five of its sands holds; left out: a fifth of the store. */
  lessMm?: number;
  /** Loss in a step. */
  lossMm?: (step: number) => number;
  rainMm?: (step: number) => number;
  stations?: readonly Partial<Station>[];
  /** True: each kind of station is a part with water of its own. */
  isInParts?: boolean;
  doseCapMm?: number;
  /** From and to, in minutes, why, and whose; no kind: a person's booking. */
  keepOffs?: readonly (readonly [number, number, string, KeepOffKind?])[];
  leastCycles?: number;
  /** Minute and turns of each station. */
  cycles?: readonly (readonly [number, ...number[]])[];
}

export function handLimits(change: Partial<Limits> = {}): Limits {
  const { limits } = smallDay({}).site;
  return {
    ...limits,
    startGapS: 0,
    pumpRestS: 0,
    pumpRiseLPerMin: null,
    mains: [],
    laterals: [],
    leastRunS: 30,
    runStepS: 1,
    mostRunS: 1800,
    dayAllowanceL: null,
    stationOrder: 'together',
    ...change,
  };
}

export function handBed(bed: HandBed): PlacementBed {
  const { id, stations = [{}], keepOffs = [], lossMm = () => 0.05, rainMm = () => 0 } = bed;
  const keptOff = keepOffs.map(
    ([fromMin, toMin, why, kind]): KeepOff => ({
      bedId: id,
      startMs: at(fromMin),
      endMs: at(toMin),
      why,
      ...(kind === undefined ? {} : { kind }),
    }),
  );
  const { capacityMm = 1.5 } = bed;
  const series = (of: (step: number) => number) =>
    Float64Array.from({ length: STEPS }, (_, step) => of(step));
  const demandMm = series(lossMm);
  const { lessMm = 0.2 * capacityMm } = bed;
  const own = stations.map((one, index) => smallStation(`${id}-${index}`, { bedId: id, ...one }));
  return {
    bed: { id },
    stations: own,
    balance: dryBalance({
      store: unsureSand({ capacityMm, lessMm }),
      grid: { startMs: START_MS, steps: STEPS },
      demand: { demandMm, rainMm: series(rainMm) },
      stateNow: unsureState(bed.storeMm ?? 1, { lessMm }),
      ...(bed.isInParts === true ? { stations: own } : {}),
    }),
    doseCapMm: bed.doseCapMm ?? 2,
    keepOffs: keptOff,
    ...(bed.leastCycles === undefined ? {} : { leastCycles: bed.leastCycles }),
  };
}

type Change = Partial<Omit<PlacementInput, 'beds' | 'limits'>> & { limits?: Partial<Limits> };

export function handInput(beds: readonly HandBed[], change: Change = {}): PlacementInput {
  const { limits, ...others } = change;
  return {
    beds: beds.map(handBed),
    window: { firstStartMs: at(0), lastEndMs: at(180), nextFirstStartMs: at(240) },
    startMs: START_MS,
    kept: [],
    driftAt: () => 0,
    slotMs: SLOT_MS,
    ...others,
    limits: handLimits(limits),
  };
}

/** A day with its cycles where they are said to stand, whatever the supply lets. */
export function laidDay(beds: readonly HandBed[], change: Change = {}): DayLayout {
  const input = handInput(beds, change);
  const balances = input.beds.map(({ balance }) => copyBalance(balance));
  const cycles = beds.flatMap((bed, index) =>
    (bed.cycles ?? []).map(([minute, ...turns]): PlacedCycle => {
      const startMs = at(minute);
      const driftLossFraction = input.driftAt(startMs);
      const stations = input.beds[index]?.stations ?? [];
      const ground = { stations, driftLossFraction, limits: input.limits };
      const block = blockOfTurns(ground, turns.length === 0 ? [1] : turns);
      const balance = balances[index];
      const drainedMm =
        balance === undefined ? 0 : drainedFor(balance, stationWaterOf(block, startMs));
      return { bedId: bed.id, startMs, block, driftLossFraction, drainedMm, reasons: [] };
    }),
  );
  return layoutOf(input, { cycles, balances });
}

/** Where a layout's cycles stand: `bed minute:turns`. */
export function placesOf({ beds }: DayLayout): string[] {
  return beds.flatMap(({ placing, cycles }) =>
    cycles.map(
      ({ startMs, block }) =>
        `${placing.bed.id} ${minutesOf(startMs)}:${block.runs.map((run) => run.rotations).join('/')}`,
    ),
  );
}
