import { dryBalance } from '../calc/schedule/bed-balance.ts';
import { STEP_MS } from '../calc/schedule/demand.ts';
import type { WaterWindow } from '../calc/schedule/due-window.ts';
import { placeCycles } from '../calc/schedule/placement.ts';
import type { Limits, Station } from '../calc/schedule/site.ts';
import type { PlacementBed } from '../calc/schedule/start-search.ts';
import { unsureSand, unsureState } from './unsure-sand.ts';

/** One bed of a small case: everything on the five-minute grid, loss net of what rises from below. */
export interface SmallBed {
  id: string;
  capacityMm: number;
  startMm: number;
  /** Loss in each step, never negative. */
  demandMm: Float64Array;
  /** Net depth of one rotation, and the most that one cycle may bring. */
  rotationMm: number;
  rotationS: number;
  capMm: number;
  flowLPerMin: number;
  mainId: string | null;
  stations: number;
  /** Steps in which no water may run, from and up to. */
  keepOffs: [from: number, to: number][];
}

/** An invented day of a few beds, small enough for a mixed integer programme. */
export interface SmallCase {
  beds: SmallBed[];
  /** Steps are counted from here, midnight of the site day. */
  dayStartMs: number;
  /** First step of the plan, first start, last end, and first start of the next day. */
  fromStep: number;
  firstStartStep: number;
  lastEndStep: number;
  horizonStep: number;
  /** Daylight of both days, by step. */
  isDaylight: boolean[];
  limits: Limits;
  /** Part of each store that one in five of its sands lacks: water is due while the others have it left. */
  lessFraction: number;
  /** True where a dose may drain in part; else that is no plan. */
  mayDrain: boolean;
}

/** A cycle as a plan of a small case has it. */
export interface SmallCycle {
  bedId: string;
  /** Step of the start. */
  start: number;
  rotations: number;
}

/** What a plan costs, in the order in which it counts. */
export interface SmallCost {
  /** Daylight minutes below the reserve, over all beds, and of the bed that has most of them. */
  minutesBelowReserve: number;
  worstBedMin: number;
  cycles: number;
  netMm: number;
}

export const STEPS_PER_DAY = 288;
export const DRIFT_FRACTION = 0.1;
const STEP_S = STEP_MS / 1000;
const DAY_START_MS = Date.parse('2026-07-01T00:00:00Z');

/** Numbers from 0 to 1, the same for the same seed (mulberry32). */
export function randomNumbers(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 4_294_967_296;
  };
}

/**
 * What is tight on a small day: nothing more than chance makes it; the pump serves one bed at a time
 * and an allowance less than the beds lose; or water ends three hours before the sun is down.
 */
export const TIGHTNESS = ['by_chance', 'short_supply', 'evening_rush'] as const;
export type Tightness = (typeof TIGHTNESS)[number];

/** The invented case of a seed, as tight as is asked; where it is tight, dry minutes alone count. */
export function smallCaseOf(seed: number, tightness: Tightness): SmallCase {
  const one = smallCase(seed);
  if (tightness === 'by_chance') return one;
  const widestLPerMin = Math.max(...one.beds.map((bed) => bed.flowLPerMin));
  const { limits } = one;
  if (tightness === 'evening_rush') {
    const pumpFlowLPerMin = Math.max(400, widestLPerMin);
    return {
      ...one,
      lessFraction: 0,
      mayDrain: true,
      lastEndStep: 192,
      limits: { ...limits, pumpFlowLPerMin },
    };
  }
  const lossL = one.beds.reduce((sum, bed) => {
    const lossMm = bed.demandMm.slice(one.fromStep).reduce((total, mm) => total + mm, 0);
    const litresPerMm = (bed.flowLPerMin * bed.rotationS) / 60 / bed.rotationMm;
    return sum + lossMm * litresPerMm;
  }, 0);
  const random = randomNumbers(seed + 50_000);
  const dayAllowanceL = random() < 0.5 ? Math.round(lossL * (0.4 + 0.4 * random())) : null;
  return {
    ...one,
    lessFraction: 0,
    mayDrain: true,
    limits: { ...limits, pumpFlowLPerMin: widestLPerMin, dayAllowanceL },
  };
}

/** The invented case of a seed: 3 to 6 beds behind one pump that serves one to three at once. */
export function smallCase(seed: number): SmallCase {
  const random = randomNumbers(seed);
  const between = (least: number, most: number) => least + (most - least) * random();
  const oneOf = <T>(values: readonly [T, ...T[]]): T =>
    values[Math.floor(random() * values.length)] ?? values[0];
  const bedCount = 3 + Math.floor(random() * 4);
  const lessFraction = oneOf([0.1, 0.2, 0.3]);
  const firstStartStep = 78;
  const lastEndStep = oneOf([204, 216, 222]);
  const fromStep = oneOf([66, 84, 108]);
  const horizonStep = STEPS_PER_DAY + firstStartStep;
  const sunriseStep = 72;
  const sunsetStep = 228;
  const peakMmPerH = between(0.4, 0.9);
  const alike = random() < 0.4;
  const shared = { capacityMm: between(1, 2.6), rotationMm: between(0.3, 0.7) };
  const gusts = Array.from({ length: 48 }, () => between(0.75, 1.25));
  const mains = random() < 0.5 ? ['north', 'south'] : [];
  const beds = Array.from({ length: bedCount }, (_, index): SmallBed => {
    const capacityMm = alike ? shared.capacityMm : between(1, 2.6);
    const rotationMm = Math.min(
      alike ? shared.rotationMm : between(0.3, 0.7),
      capacityMm * (1 - lessFraction) * 0.9,
    );
    const exposure = alike ? 1 : between(0.8, 1.2);
    const demandMm = Float64Array.from({ length: horizonStep }, (_, step) => {
      const hourOfDay = Math.floor((step % STEPS_PER_DAY) / 12);
      const sun = Math.max(0, Math.sin(((hourOfDay + 0.5 - 6) / 13) * Math.PI));
      return (peakMmPerH * exposure * sun * (gusts[Math.floor(step / 12)] ?? 1)) / 12;
    });
    const from = Math.floor(between(84, 190));
    return {
      id: `bed-${index + 1}`,
      capacityMm,
      startMm: capacityMm * between(lessFraction, 1),
      demandMm,
      rotationMm,
      rotationS: oneOf([150, 300]),
      capMm: Math.max(rotationMm, oneOf([1, 1.5, 2])),
      flowLPerMin: oneOf([200, 300, 400]),
      mainId: mains[index % 2] ?? null,
      stations: oneOf([1, 2]),
      keepOffs: random() < 0.25 ? [[from, from + Math.floor(between(6, 20))]] : [],
    };
  });
  return {
    beds,
    dayStartMs: DAY_START_MS,
    fromStep,
    firstStartStep,
    lastEndStep,
    horizonStep,
    lessFraction,
    mayDrain: false,
    isDaylight: Array.from({ length: horizonStep + 1 }, (_, step) => {
      const ofDay = step % STEPS_PER_DAY;
      return ofDay >= sunriseStep && ofDay < sunsetStep;
    }),
    limits: {
      riskFraction: 0.05,
      pumpFlowLPerMin: oneOf([400, 500, 700]),
      mains: mains.map((id) => ({ id, flowLPerMin: 400 })),
      laterals: [],
      stationsAtOnce: oneOf([2, 3, 6]),
      startGapS: 0,
      leastRunS: 60,
      mostRunS: 1800,
      leastCycles: 0,
      runStepS: 1,
      stationOrder: 'together',
      pumpRiseLPerMin: null,
      pumpRestS: 0,
      dayAllowanceL: null,
      seasonAllowanceL: null,
      restMin: oneOf([0, 15, 30]),
      firstAfterSunriseMin: 30,
      lastBeforeSunsetMin: 60,
      windLimitMPerS: 99,
    },
  };
}

/** The case as the planner takes it. */
export function placementOf(one: SmallCase): {
  beds: PlacementBed[];
  window: WaterWindow;
  startMs: number;
} {
  const at = (step: number) => one.dayStartMs + step * STEP_MS;
  const beds = one.beds.map((bed): PlacementBed => {
    const stations = Array.from(
      { length: bed.stations },
      (_, index): Station => ({
        id: `${bed.id}-${index + 1}`,
        bedId: bed.id,
        flowLPerMin: bed.flowLPerMin / bed.stations,
        precipitationRateMmPerH: (bed.rotationMm * 3600) / bed.rotationS / (1 - DRIFT_FRACTION),
        rateBasis: 'stated',
        rateMeasured: true,
        runTimeMultiplierFraction: 1,
        rotationS: bed.rotationS,
        mainId: bed.mainId,
        lateralId: null,
      }),
    );
    const { capacityMm, startMm } = bed;
    const lessMm = one.lessFraction * capacityMm;
    const steps = one.horizonStep - one.fromStep;
    return {
      bed: { id: bed.id },
      stations,
      balance: dryBalance({
        store: unsureSand({ capacityMm, lessMm }),
        grid: { startMs: at(one.fromStep), steps },
        demand: {
          demandMm: bed.demandMm.slice(one.fromStep),
          rainMm: new Float64Array(steps),
        },
        stateNow: unsureState(startMm, { lessMm }),
      }),
      doseCapMm: bed.capMm,
      keepOffs: bed.keepOffs.map(([from, to]) => ({
        bedId: bed.id,
        startMs: at(from),
        endMs: at(to),
        why: 'roll',
      })),
    };
  });
  return {
    beds,
    window: {
      firstStartMs: at(one.firstStartStep),
      lastEndMs: at(one.lastEndStep),
      nextFirstStartMs: at(one.horizonStep),
    },
    startMs: at(one.fromStep),
  };
}

/** What a cycle takes of the allowance, L. */
export function litresOf(bed: SmallBed, rotations: number): number {
  return (bed.flowLPerMin * bed.rotationS * rotations) / 60;
}

/** Slots that a cycle of so many rotations occupies. */
export function slotsOf(bed: SmallBed, rotations: number): number {
  return Math.ceil((rotations * bed.rotationS) / STEP_S);
}

/** Water that reaches a bed in the k-th slot of a cycle, mm. */
export function waterInSlot(bed: SmallBed, rotations: number, slot: number): number {
  const seconds = Math.min(STEP_S, rotations * bed.rotationS - slot * STEP_S);
  return (Math.max(0, seconds) / bed.rotationS) * bed.rotationMm;
}

/** Below the reserve by more than machine rounding. */
export function isShort(one: SmallCase, bed: SmallBed, step: number, levelMm: number): boolean {
  return one.isDaylight[step] === true && levelMm < bed.capacityMm * one.lessFraction - 1e-6;
}

/**
 * What a plan costs, by arithmetic of its own; throws when it breaks a limit of the case, so that
 * no planner can win by cheating.
 */
export function judge(one: SmallCase, cycles: readonly SmallCycle[]): SmallCost {
  const { limits } = one;
  const flow = new Map<string, Float64Array>();
  const use = (key: string, slot: number, amount: number, allowed: number) => {
    const track = flow.get(key) ?? new Float64Array(one.horizonStep);
    flow.set(key, track);
    track[slot] = (track[slot] ?? 0) + amount;
    if ((track[slot] ?? 0) > allowed + 1e-6) throw new Error(`${key} is over in slot ${slot}`);
  };
  const bedOf = new Map(one.beds.map((bed) => [bed.id, bed]));
  const givenL = cycles.reduce((sum, { bedId, rotations }) => {
    const bed = bedOf.get(bedId);
    return sum + (bed === undefined ? 0 : litresOf(bed, rotations));
  }, 0);
  if (givenL > (limits.dayAllowanceL ?? Number.POSITIVE_INFINITY) + 1e-6) {
    throw new Error('the allowance is over');
  }
  const cost: SmallCost = {
    minutesBelowReserve: 0,
    worstBedMin: 0,
    cycles: cycles.length,
    netMm: 0,
  };
  for (const bed of one.beds) {
    const own = cycles.filter((cycle) => cycle.bedId === bed.id).sort((a, b) => a.start - b.start);
    const water = new Float64Array(one.horizonStep);
    let freeS = Math.max(one.fromStep, one.firstStartStep) * STEP_S;
    for (const { start, rotations } of own) {
      const endS = start * STEP_S + rotations * bed.rotationS;
      if (start * STEP_S < freeS) throw new Error(`${bed.id} has not rested by ${start}`);
      if (endS > one.lastEndStep * STEP_S) throw new Error(`${bed.id} runs after the last end`);
      if (bed.keepOffs.some(([from, to]) => start < to && endS > from * STEP_S)) {
        throw new Error(`${bed.id} runs in a keep-off at ${start}`);
      }
      if (rotations > 1 && rotations * bed.rotationMm > bed.capMm + 1e-6) {
        throw new Error(`${bed.id} is over its cap at ${start}`);
      }
      for (let slot = 0; slot < slotsOf(bed, rotations); slot++) {
        use('pump', start + slot, bed.flowLPerMin, limits.pumpFlowLPerMin);
        use('stations', start + slot, bed.stations, limits.stationsAtOnce);
        const main = limits.mains.find((pipe) => pipe.id === bed.mainId);
        if (main !== undefined) use(main.id, start + slot, bed.flowLPerMin, main.flowLPerMin);
        water[start + slot] = (water[start + slot] ?? 0) + waterInSlot(bed, rotations, slot);
      }
      freeS = endS + limits.restMin * 60;
      cost.netMm += rotations * bed.rotationMm;
    }
    let levelMm = bed.startMm;
    let ofBedMin = 0;
    for (let step = one.fromStep; step < one.horizonStep; step++) {
      const starting = own.find((cycle) => cycle.start === step);
      if (
        !one.mayDrain &&
        starting !== undefined &&
        levelMm + starting.rotations * bed.rotationMm > bed.capacityMm + 1e-6
      ) {
        throw new Error(`${bed.id} has no room at ${step}`);
      }
      levelMm += water[step] ?? 0;
      if (one.mayDrain) levelMm = Math.min(levelMm, bed.capacityMm);
      levelMm -= bed.demandMm[step] ?? 0;
      if (isShort(one, bed, step + 1, levelMm)) ofBedMin += STEP_S / 60;
    }
    cost.minutesBelowReserve += ofBedMin;
    cost.worstBedMin = Math.max(cost.worstBedMin, ofBedMin);
  }
  return cost;
}

/** The planner's own cycles of a small case, with both on the same grid. */
export function plannedCycles(one: SmallCase): SmallCycle[] {
  const { cycles } = placeCycles({
    ...placementOf(one),
    limits: one.limits,
    kept: [],
    driftAt: () => DRIFT_FRACTION,
    slotMs: STEP_MS,
  });
  return cycles.map(({ bedId, startMs, block }) => ({
    bedId,
    start: (startMs - one.dayStartMs) / STEP_MS,
    rotations: block.rotations,
  }));
}
