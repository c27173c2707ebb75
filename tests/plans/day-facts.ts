import { membersOf, type SandMember } from '../../calc/futures/sand-members.ts';
import type { SeedbedStore, StoreState } from '../../calc/sand/seedbed-store.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { lossCoefficient } from '../../calc/schedule/demand.ts';
import type { DayPlanInput } from '../../calc/schedule/plan-day.ts';
import type { Bed, KeepOff, Limits, Station } from '../../calc/schedule/site.ts';
import { saturationKPa } from '../../calc/sky/air.ts';
import { sunTimes } from '../../calc/sky/sun-times.ts';
import type { EtHour } from '../../calc/sky/weather-hour.ts';
import { driftLoss } from '../../calc/sprinkler/drift-loss.ts';

const HOUR_MS = 3_600_000;
/** Steps of the stores, as a plan tells them. */
export const STEP_MS = 300_000;
/** Cycles begin on whole half minutes: a free start between them is none that a plan may use. */
export const START_GRID_MS = 30_000;
/** No water at and below it (common practice: 2 to 3). */
const FROST_C = 2;
/** What a bed of which nothing is known is taken to have left. */
const UNKNOWN_FRACTION = 0.2;

/** One of the sands that a bed may have, followed by itself. */
export interface MemberFacts extends Pick<SandMember, 'store' | 'lossFactor'> {
  weightFraction: number;
  stateNow: StoreState;
  demandMm: readonly number[];
}

/** What a checker knows of a bed without asking the planner. */
export interface BedFacts {
  bed: Bed;
  stations: readonly Station[];
  store: SeedbedStore;
  /** What its sand may be, each with its state at the plan's start and its loss of each step, mm. */
  members: readonly MemberFacts[];
  /** Loss and rain of each step, mean of its members, mm. */
  demandMm: readonly number[];
  rainMm: readonly number[];
  capMm: number;
  /** Keep-offs of the bed, frost among them. */
  keepOffs: readonly KeepOff[];
  /** No start before this: the plan's first run, and the rest from what ran before. */
  freeFromMs: number;
}

/** A day as a checker sees it. */
export interface DayFacts {
  input: DayPlanInput;
  plan: DayPlan;
  limits: Limits;
  beds: readonly BedFacts[];
  gridStartMs: number;
  steps: number;
  daylight: { startMs: number; endMs: number };
  firstStartMs: number;
  lastEndMs: number;
  nextFirstStartMs: number;
  /** Part of the water that drifts off or evaporates in flight. */
  driftAt(instantMs: number): number;
  isWindyAt(instantMs: number): boolean;
}

/** The facts of a day: sun, hours, losses and what keeps water off, worked out from the input. */
export function dayFacts(input: DayPlanInput, plan: DayPlan): DayFacts {
  const { site, hours } = input;
  const { limits } = site;
  const today = sunOf(input.dayStartMs, input);
  const tomorrow = sunOf(input.nextDayStartMs, input);
  const firstStartMs = today.startMs + limits.firstAfterSunriseMin * 60_000;
  const nextFirstStartMs = tomorrow.startMs + limits.firstAfterSunriseMin * 60_000;
  const lastEndMs = today.endMs - limits.lastBeforeSunsetMin * 60_000;
  const gridStartMs = Math.floor(input.startMs / STEP_MS) * STEP_MS;
  const horizonMs = Math.ceil((nextFirstStartMs + HOUR_MS) / HOUR_MS) * HOUR_MS;
  const steps = Math.ceil((horizonMs - gridStartMs) / STEP_MS);
  const hourAt = new Map(hours.map((hour) => [hour.startMs, hour]));
  const hourOf = (atMs: number) => hourAt.get(Math.floor(atMs / HOUR_MS) * HOUR_MS);
  const frost = frostSpells(hours);
  const beds = site.beds.map((bed): BedFacts => {
    const store = input.stores.get(bed.id);
    if (store === undefined) throw new Error(`no store for ${bed.id}`);
    const stage = input.stages[bed.stage];
    const factor = lossCoefficient(stage, hours) * bed.exposureFraction * bed.trimFraction;
    const perStep = (pick: (hour: EtHour) => number) =>
      Array.from({ length: steps }, (_, step) => {
        const hour = hourOf(gridStartMs + step * STEP_MS);
        return hour === undefined ? 0 : (pick(hour) * STEP_MS) / HOUR_MS;
      });
    const stateNow = input.statesNow.get(bed.id) ?? store.stateAt(UNKNOWN_FRACTION, 0);
    const asAny = membersOf(store);
    const members = asAny.map((one, index): MemberFacts => {
      const { lossFactor, nightFraction, weightFraction } = one;
      return {
        store: one.store,
        lossFactor,
        weightFraction,
        stateNow: asAny.length === 1 ? stateNow : stateOfMember(stateNow, index),
        demandMm: perStep(({ referenceEtMm, wetNightEtMm }) => {
          const lostMm = factor * (referenceEtMm + nightFraction * (wetNightEtMm - referenceEtMm));
          return lostMm > 0 ? lossFactor * lostMm : lostMm;
        }),
      };
    });
    const endedMs = input.ranBefore?.bedEndsMs?.get(bed.id) ?? Number.NEGATIVE_INFINITY;
    return {
      bed,
      stations: site.stations.filter((one) => one.bedId === bed.id),
      store,
      members,
      demandMm: perStep(() => 0).map((_, step) =>
        members.reduce((sum, one) => sum + one.weightFraction * (one.demandMm[step] ?? 0), 0),
      ),
      rainMm: perStep((hour) => hour.rainMm),
      capMm: stage.doseCapMm,
      keepOffs: [
        ...input.keepOffs.filter((off) => off.bedId === bed.id),
        ...frost.map((spell) => ({ ...spell, bedId: bed.id, why: '', kind: 'frost' as const })),
      ],
      freeFromMs: Math.max(input.firstRunMs, endedMs + limits.restMin * 60_000),
    };
  });
  return {
    input,
    plan,
    limits,
    beds,
    gridStartMs,
    steps,
    daylight: today,
    firstStartMs: Math.max(firstStartMs, input.dayStartMs),
    lastEndMs: Math.min(lastEndMs, input.nextDayStartMs),
    nextFirstStartMs,
    driftAt(instantMs) {
      const hour = hourOf(instantMs);
      if (hour === undefined) return 0;
      return driftLoss({
        windMPerS: hour.windMPerS,
        relativeHumidityPct: Math.min(
          100,
          (100 * hour.vapourPressureKPa) / saturationKPa(hour.airTempC),
        ),
        isDay: hour.startMs + HOUR_MS > today.startMs && hour.startMs < today.endMs,
      }).lossFraction;
    },
    isWindyAt: (instantMs) => (hourOf(instantMs)?.windMPerS ?? 0) > limits.windLimitMPerS,
  };
}

/** Values of the members' states end in their number. */
function stateOfMember(state: StoreState, index: number): StoreState {
  const own = Object.entries(state).filter(
    ([name]) => Number(/\d+$/.exec(name)?.[0]) === index + 1,
  );
  return Object.fromEntries(own.map(([name, value]) => [name.replace(/\d+$/, ''), value]));
}

function sunOf(dayStartMs: number, { site }: DayPlanInput): { startMs: number; endMs: number } {
  const { latitudeDeg, longitudeDeg } = site;
  const { sunriseMs, sunsetMs } = sunTimes({ dayStartMs, latitudeDeg, longitudeDeg });
  if (sunriseMs === null || sunsetMs === null) throw new Error('the invented sun rises and sets');
  return { startMs: sunriseMs, endMs: sunsetMs };
}

function frostSpells(hours: readonly EtHour[]): { startMs: number; endMs: number }[] {
  const spells: { startMs: number; endMs: number }[] = [];
  for (const hour of hours) {
    if (hour.airTempC > FROST_C) continue;
    const last = spells.at(-1);
    if (last?.endMs === hour.startMs) last.endMs += HOUR_MS;
    else spells.push({ startMs: hour.startMs, endMs: hour.startMs + HOUR_MS });
  }
  return spells;
}
