import type { Stage, StageName } from '../growth/stages.ts';
import { managedSand } from '../sand/managed-sand.ts';
import { sunTimes } from '../sky/sun-times.ts';
import type { EtHour } from '../sky/weather-hour.ts';
import { type BedBalance, dryBalance, firstAtOrUnder, stepAt } from './bed-balance.ts';
import type { BedPlan, Cycle, DayPlan, Run } from './day-plan.ts';
import { bedDemand, STEP_MIN, STEP_MS, stepGrid } from './demand.ts';
import { driftOverHours } from './drift-over-hours.ts';
import type { WaterWindow } from './due-window.ts';
import { type PlacedCycle, placeCycles } from './placement.ts';
import type { SayMeasures } from './reasons.ts';
import { shortagesOf } from './shortages.ts';
import type { Bed, KeepOff, Site } from './site.ts';
import { planWarnings } from './warnings.ts';
import { weatherOfPlan } from './weather-of-plan.ts';

const HOUR_MS = 3_600_000;

/** Everything a day's plan is worked out from; the same input gives the same plan. */
export interface DayPlanInput {
  site: Site;
  stages: Readonly<Record<StageName, Stage>>;
  /** `YYYY-MM-DD` at the site. */
  siteDay: string;
  revision: number;
  madeAtMs: number;
  /** First instant of the site day, of the next one, and of the one after. */
  dayStartMs: number;
  nextDayStartMs: number;
  afterNextDayStartMs: number;
  /** Runs start from here on. */
  startMs: number;
  /** Hours without a gap from `startMs` to `horizonEndMs`. */
  hours: readonly EtHour[];
  weather: { source: string; asOfMs: number | null };
  keepOffs: readonly KeepOff[];
  /** Store of each bed at `startMs`; a bed that is missing counts as at its reserve. */
  storeNowMm: ReadonlyMap<string, number>;
  say: SayMeasures;
}

/** The hours of sun and water of a site day. */
export interface DayFrame {
  sunriseMs: number | null;
  sunsetMs: number | null;
  window: WaterWindow;
  /** Weather is needed up to here. */
  horizonEndMs: number;
}

/** Sunrise, sunset, and the bounds within which water may run. */
export function dayFrame(
  input: Pick<DayPlanInput, 'site' | 'dayStartMs' | 'nextDayStartMs' | 'afterNextDayStartMs'>,
): DayFrame {
  const { latitudeDeg, longitudeDeg, limits } = input.site;
  const today = daylightOf(input.dayStartMs, latitudeDeg, longitudeDeg);
  const tomorrow = daylightOf(input.nextDayStartMs, latitudeDeg, longitudeDeg);
  const firstStartMs = today.startMs + limits.firstAfterSunriseMin * 60_000;
  const lastEndMs = today.endMs - limits.lastBeforeSunsetMin * 60_000;
  const nextFirstStartMs = tomorrow.startMs + limits.firstAfterSunriseMin * 60_000;
  return {
    sunriseMs: today.sunriseMs,
    sunsetMs: today.sunsetMs,
    window: {
      firstStartMs: Math.max(firstStartMs, input.dayStartMs),
      lastEndMs: Math.min(lastEndMs, input.nextDayStartMs),
      nextFirstStartMs,
    },
    horizonEndMs: Math.ceil((nextFirstStartMs + HOUR_MS) / HOUR_MS) * HOUR_MS,
  };
}

/**
 * Works out the day's plan: each bed's loss against its store, the cycles owed, their place under
 * the limits, and what the person must know.
 *
 * @throws RangeError when the hours do not cover the horizon, or a bed has no station.
 */
export function planDay(input: DayPlanInput): DayPlan {
  const { site, stages, hours, startMs } = input;
  const frame = dayFrame(input);
  const { window } = frame;
  const grid = stepGrid(startMs, Math.max(frame.horizonEndMs, startMs + HOUR_MS));
  const daylight = {
    startMs: frame.sunriseMs ?? window.firstStartMs,
    endMs: frame.sunsetMs ?? window.lastEndMs,
  };
  const driftAt = driftOverHours(hours, daylight);

  const placing = site.beds.map((bed) => {
    const stage = stages[bed.stage];
    const sand = managedSand(bed.sand, stage.managedDepthMm);
    const reserveMm = sand.capacityMm * site.limits.reserveFraction;
    const demand = bedDemand(bed, hours, stage.cropCoefficientFraction, grid);
    const storeNowMm = input.storeNowMm.get(bed.id) ?? reserveMm;
    return {
      bed,
      reserveMm,
      dryAtMs: firstAtOrUnder(dryBalance({ sand, grid, demand, storeNowMm }), 0, startMs),
      stations: site.stations.filter((station) => station.bedId === bed.id),
      balance: dryBalance({ sand, grid, demand, storeNowMm }),
      doseCapMm: stage.doseCapMm,
      keepOffs: input.keepOffs.filter((off) => off.bedId === bed.id),
    };
  });
  const { cycles, blocked } = placeCycles({
    beds: placing,
    limits: site.limits,
    window,
    startMs,
    driftAt,
  });
  const cyclesOf = new Map<string, PlacedCycle[]>();
  for (const cycle of cycles) {
    cyclesOf.set(cycle.bedId, [...(cyclesOf.get(cycle.bedId) ?? []), cycle]);
  }
  const beds = placing.map((one) =>
    bedPlan({ ...one, startMs, window, daylight, placed: cyclesOf.get(one.bed.id) ?? [] }),
  );
  const shortages = placing.flatMap((one) =>
    shortagesOf({
      bedId: one.bed.id,
      balance: one.balance,
      reserveMm: one.reserveMm,
      daylight,
      firstStartMs: window.firstStartMs,
      blocked,
      say: input.say,
    }),
  );
  const weather = weatherOfPlan({
    hours: hours.filter((hour) => hour.startMs < input.nextDayStartMs),
    ...input.weather,
  });
  return {
    siteId: site.id,
    siteName: site.name,
    siteDay: input.siteDay,
    revision: input.revision,
    madeAtMs: input.madeAtMs,
    startMs,
    endMs: input.nextDayStartMs,
    sunriseMs: frame.sunriseMs,
    sunsetMs: frame.sunsetMs,
    beds,
    runs: cycles.flatMap((cycle) => runsOf(cycle, numberOf(cycle, cyclesOf))),
    shortages,
    warnings: planWarnings({
      site,
      beds,
      shortages,
      weather,
      windyFromMs: windyFrom(hours, site.limits.windLimitMPerS, window),
      say: input.say,
    }),
    weather,
  };
}

function bedPlan(input: {
  bed: Bed;
  balance: BedBalance;
  reserveMm: number;
  dryAtMs: number | null;
  startMs: number;
  window: WaterWindow;
  daylight: { startMs: number; endMs: number };
  placed: readonly PlacedCycle[];
}): BedPlan {
  const { bed, balance, reserveMm, dryAtMs, startMs, window, daylight, placed } = input;
  const { grid } = balance;
  const steps = stepAt(grid, window.nextFirstStartMs) + 1;
  const storeMm = Array.from(balance.storeMm.subarray(0, steps + 1));
  const lowest = storeMm.reduce((low, mm, step) => (mm < low.mm ? { mm, step } : low), {
    mm: Infinity,
    step: 0,
  });
  const dryInDaylight = storeMm.filter((mm, step) => {
    const atMs = grid.startMs + step * STEP_MS;
    return mm < 0 && atMs >= daylight.startMs && atMs < daylight.endMs;
  });
  const cycles = placed.map((cycle, index): Cycle => {
    const endMs = cycle.startMs + cycle.block.durationS * 1000;
    return {
      cycle: index + 1,
      startMs: cycle.startMs,
      endMs,
      grossMm: cycle.block.grossMm,
      netMm: cycle.block.netMm,
      drainedMm: sum(
        balance.drainedMm.subarray(stepAt(grid, cycle.startMs), stepAt(grid, endMs) + 1),
      ),
      rotations: cycle.block.rotations,
      driftLossFraction: cycle.driftLossFraction,
      reasons: cycle.reasons,
    };
  });
  const lossMm = sum(balance.demand.demandMm.subarray(0, steps));
  const netMm = cycles.reduce((total, cycle) => total + cycle.netMm, 0);
  return {
    bedId: bed.id,
    name: bed.name,
    stage: bed.stage,
    capacityMm: balance.sand.capacityMm,
    reserveMm,
    storeNowMm: storeMm[0] ?? 0,
    dryAtMs,
    lossMm,
    rainMm: sum(balance.demand.rainMm.subarray(0, steps)),
    grossMm: cycles.reduce((total, cycle) => total + cycle.grossMm, 0),
    netMm,
    drainedMm: cycles.reduce((total, cycle) => total + cycle.drainedMm, 0),
    percentOfLoss: lossMm > 0 ? (100 * netMm) / lossMm : null,
    minutesBelowDryLimit: dryInDaylight.length * STEP_MIN,
    lowestStoreMm: lowest.mm,
    lowestAtMs: Math.max(startMs, grid.startMs + lowest.step * STEP_MS),
    cycles,
    expectedStore: { startMs: grid.startMs, stepMin: STEP_MIN, storeMm },
  };
}

function runsOf(cycle: PlacedCycle, number: number): Run[] {
  return cycle.block.runs.map((run) => ({
    bedId: cycle.bedId,
    stationId: run.station.id,
    startMs: cycle.startMs + run.offsetS * 1000,
    runS: run.runS,
    rotations: run.rotations,
    grossMm: run.grossMm,
    netMm: run.netMm,
    cycle: number,
  }));
}

function numberOf(cycle: PlacedCycle, cyclesOf: Map<string, PlacedCycle[]>): number {
  return (cyclesOf.get(cycle.bedId)?.indexOf(cycle) ?? 0) + 1;
}

/** Daylight of a site day; where the sun does not set or rise, six hours on both sides of noon. */
function daylightOf(dayStartMs: number, latitudeDeg: number, longitudeDeg: number) {
  const { sunriseMs, noonMs, sunsetMs } = sunTimes({ dayStartMs, latitudeDeg, longitudeDeg });
  return {
    sunriseMs,
    sunsetMs,
    startMs: sunriseMs ?? noonMs - 6 * HOUR_MS,
    endMs: sunsetMs ?? noonMs + 6 * HOUR_MS,
  };
}

function windyFrom(
  hours: readonly EtHour[],
  windLimitMPerS: number,
  window: WaterWindow,
): number | null {
  const windy = hours.find(
    (hour) =>
      hour.windMPerS > windLimitMPerS &&
      hour.startMs + HOUR_MS > window.firstStartMs &&
      hour.startMs < window.lastEndMs,
  );
  return windy?.startMs ?? null;
}

function sum(values: Float64Array): number {
  return values.reduce((total, value) => total + value, 0);
}
