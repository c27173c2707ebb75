import { dampingOffNotice, pythiumNotices } from '../growth/hazards/disease-notices.ts';
import {
  irrigationSalinityNotice,
  reclaimedWaterNotice,
  type Stretch,
  WATER_LIMITS,
  waterAgainstLossNotice,
} from '../growth/hazards/water-notices.ts';
import {
  frostNotice,
  heatNotice,
  heavyRainNotice,
  WIND_LIMITS,
  windNotice,
} from '../growth/hazards/weather-notices.ts';
import type { Notice, NoticeSeverity } from '../growth/notice.ts';
import type { Stage, StageName } from '../growth/stages.ts';
import type { EtHour, WeatherHour } from '../sky/weather-hour.ts';
import type { BedPlan, PlanNotice } from './day-plan.ts';
import type { WaterWindow } from './due-window.ts';
import { surfaceOfHourC } from './plan-weather.ts';
import type { Site } from './site.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const RANK: Record<NoticeSeverity, number> = { danger: 0, warn: 1, note: 2 };
/** Stages in which seedlings are young enough to fall over at the soil line. */
const SEEDLINGS: readonly StageName[] = ['germination', 'emergence', 'tillering'];
const COMING_UP: readonly StageName[] = ['germination', 'emergence'];

/** What is known of the water itself. */
export interface PlanWater {
  /** Electrical conductivity at 25 °C; null: not measured. */
  salinityDSPerM: number | null;
  /** Hours in which reclaimed water may run; null: the water is not reclaimed. */
  permitted: readonly Stretch[] | null;
}

/** What the notices of a day are worked out from. */
interface PlanNoticesInput {
  site: Site;
  stages: Readonly<Record<StageName, Stage>>;
  beds: readonly BedPlan[];
  /** Hours that the plan rests on. */
  hours: readonly EtHour[];
  /** Hours of the day before, as far as they are known. */
  hoursBefore: readonly WeatherHour[];
  /** The plan's start, the end of its site day, and the sun's noon of that day. */
  startMs: number;
  endMs: number;
  noonMs: number;
  frostLimitC: number;
  window: WaterWindow;
  water: PlanWater | null;
}

/**
 * What the weather and the water of the day ask a person to know: heat, frost, wind, rain, disease
 * weather, the water itself, and each bed's water against its loss. Worst first.
 *
 * Nothing here moves or drops a cycle.
 */
export function planNotices(input: PlanNoticesInput): PlanNotice[] {
  const { site, hours, startMs, endMs, window, frostLimitC } = input;
  const between = (fromMs: number, toMs: number) =>
    hours.filter((hour) => hour.startMs + HOUR_MS > fromMs && hour.startMs < toMs);
  const today = between(startMs, endMs);
  const toNextWater = between(startMs, window.nextFirstStartMs);
  const watered = between(Math.max(startMs, window.firstStartMs), window.lastEndMs);
  const { windLimitMPerS } = site.limits;
  const everywhere = [
    frostNotice({ hours: toNextWater, limitC: frostLimitC }),
    windNotice({
      hours: watered,
      limits: {
        hurtMPerS: windLimitMPerS,
        sharplyHurtMPerS: Math.max(windLimitMPerS, WIND_LIMITS.sharplyHurtMPerS),
      },
    }),
    ...pythium(input),
    ...waterItself(input),
  ];
  const notices = [
    ...everywhere.flatMap((notice) => withBeds(notice, [])),
    ...heatNotices({ ...input, hours: today }),
    ...input.beds.flatMap((bed) => ofBed(bed, input.stages[bed.stage], toNextWater)),
  ];
  return notices.toSorted((a, b) => RANK[a.severity] - RANK[b.severity] || a.fromMs - b.fromMs);
}

function ofBed(bed: BedPlan, stage: Stage, hours: readonly EtHour[]): PlanNotice[] {
  const rain = hours.find((hour) => hour.rainMm > 0);
  const span = {
    fromMs: bed.expectedStore.startMs,
    toMs: (hours.at(-1)?.startMs ?? bed.expectedStore.startMs) + HOUR_MS,
  };
  const lossMm = Math.max(0, bed.lossMm);
  return [
    // Rain moves seed and leaches where the store is thin; deeper roots use what a night brings.
    rain === undefined || !SEEDLINGS.includes(stage.name)
      ? null
      : heavyRainNotice({ hours, roomMm: roomBeforeMm(bed, rain.startMs) }),
    SEEDLINGS.includes(stage.name) ? dampingOffNotice({ hours, waterMm: bed.netMm, lossMm }) : null,
    worthSaying(
      bed,
      waterAgainstLossNotice({
        netMm: bed.netMm,
        countedRainMm: countedRainMm(bed, hours),
        lossMm,
        ...span,
      }),
    ),
  ].flatMap((notice) => withBeds(notice, [bed.bedId]));
}

/**
 * Part of a day may get less than it loses and live on its store, and the last cycle fills a store
 * for the night: both are well. A rotation larger than the room is told by a warning of its own.
 */
function worthSaying(bed: BedPlan, notice: Notice | null): Notice | null {
  if (notice === null) return null;
  if (notice.code === 'too_little_water') return bed.minutesBelowDryLimit > 0 ? notice : null;
  const filledMm = Math.max(0, bed.capacityMm - Math.max(0, bed.storeNowMm));
  const beyondStoreMm = bed.netMm - filledMm;
  const drawsOnNothing = beyondStoreMm > (bed.lossMm * WATER_LIMITS.muchPct) / 100;
  return bed.netMm > 0 && (drawsOnNothing || notice.severity !== 'note') ? notice : null;
}

function pythium({ hours, hoursBefore, startMs, noonMs }: PlanNoticesInput): Notice[] {
  const first = hours[0]?.startMs ?? Number.POSITIVE_INFINITY;
  const known = [...hoursBefore.filter((hour) => hour.startMs < first), ...hours];
  const noons = startMs < noonMs ? [noonMs - DAY_MS, noonMs] : [noonMs];
  return noons.flatMap((noon) => pythiumNotices({ hours: known, noonMs: noon }));
}

function waterItself(input: PlanNoticesInput): (Notice | null)[] {
  const { water, beds, startMs, endMs } = input;
  if (water === null) return [];
  const comingUp = beds.some((bed) => COMING_UP.includes(bed.stage));
  const cycles = beds.flatMap((bed) => bed.cycles);
  return [
    water.salinityDSPerM === null
      ? null
      : irrigationSalinityNotice({
          waterDSPerM: water.salinityDSPerM,
          comingUp,
          fromMs: startMs,
          toMs: endMs,
        }),
    water.permitted === null ? null : reclaimedWaterNotice({ cycles, permitted: water.permitted }),
  ];
}

function withBeds(notice: Notice | null, bedIds: string[]): PlanNotice[] {
  return notice === null ? [] : [{ ...notice, bedIds }];
}

const MIN_MS = 60_000;

/**
 * Heat over the hours given: bare beds by the temperature of their surface, wet while the plan keeps
 * it wet and dry in hours in which it does not; beds with cover by the air. Beds that see the same
 * share one notice.
 */
export function heatNotices(input: {
  site: Site;
  stages: Readonly<Record<StageName, Stage>>;
  beds: readonly BedPlan[];
  hours: readonly EtHour[];
}): PlanNotice[] {
  const { site, stages, beds, hours } = input;
  const surface = (wetnessFraction: number) => (hour: WeatherHour) =>
    surfaceOfHourC({ hour, wetnessFraction, elevationM: site.elevationM });
  const covered = beds.filter((bed) => stages[bed.stage].coverFraction > 0);
  const bare = beds.filter((bed) => stages[bed.stage].coverFraction === 0);
  const wetTempsC = bare.length > 0 ? hours.map(surface(1)) : [];
  const staysWet = bare.filter((bed) => hours.every((hour) => !isDryIn(bed, hour.startMs)));
  const namesOf = (some: readonly BedPlan[]) =>
    some.length === beds.length ? [] : some.map((bed) => bed.bedId);

  const groups = [
    { beds: covered, notice: () => heatNotice({ hours }) },
    { beds: staysWet, notice: () => heatNotice({ hours, surfaceTempsC: wetTempsC }) },
    ...bare
      .filter((bed) => !staysWet.includes(bed))
      .map((bed) => ({
        beds: [bed],
        notice: () =>
          heatNotice({
            hours,
            surfaceTempsC: hours.map((hour, index) =>
              isDryIn(bed, hour.startMs) ? surface(0)(hour) : (wetTempsC[index] ?? hour.airTempC),
            ),
          }),
      })),
  ];
  return groups.flatMap((group) => {
    const notice = group.beds.length === 0 ? null : group.notice();
    return notice === null ? [] : [{ ...notice, bedIds: namesOf(group.beds) }];
  });
}

/** Whether a bed is expected below its dry limit for half of an hour or more. */
function isDryIn(bed: BedPlan, hourStartMs: number): boolean {
  const { startMs, stepMin, storeMm } = bed.expectedStore;
  const steps = storeMm.filter((mm, step) => {
    const atMs = startMs + step * stepMin * MIN_MS;
    return mm < 0 && atMs >= hourStartMs && atMs < hourStartMs + HOUR_MS;
  });
  return steps.length * stepMin >= 30;
}

const LEAST_ET_MM = 1e-6;

/**
 * The part of the rain to come that a bed's seedbed can hold, mm: each shower counts up to the room
 * at its beginning and what the bed loses meanwhile.
 *
 * @param bed Its expected store, with the cycles planned.
 * @param hours In order of time; hours that the expected store does not cover count for nothing.
 */
export function countedRainMm(
  bed: Pick<BedPlan, 'capacityMm' | 'expectedStore' | 'lossMm'>,
  hours: readonly EtHour[],
): number {
  const { startMs, stepMin, storeMm } = bed.expectedStore;
  const endMs = startMs + (storeMm.length - 1) * stepMin * 60_000;
  const covered = hours.filter((hour) => hour.startMs + HOUR_MS > startMs && hour.startMs < endMs);
  const etMm = covered.reduce((sum, hour) => sum + Math.max(0, hour.referenceEtMm), 0);
  // A day of dew has no loss to speak of; dividing by next to nothing would make it boundless.
  const lossPerEt = etMm > LEAST_ET_MM ? Math.max(0, bed.lossMm) / etMm : 0;
  let countedMm = 0;
  let roomMm = 0;
  let wet = false;
  for (const hour of covered) {
    if (hour.rainMm > 0) {
      if (!wet) roomMm = roomBeforeMm(bed, hour.startMs);
      roomMm += Math.max(0, hour.referenceEtMm) * lossPerEt;
      const heldMm = Math.min(hour.rainMm, Math.max(0, roomMm));
      countedMm += heldMm;
      roomMm -= heldMm;
    }
    wet = hour.rainMm > 0;
  }
  return countedMm;
}

/** Room that a bed's seedbed is expected to have at an instant, at least 0 mm. */
export function roomBeforeMm(
  bed: Pick<BedPlan, 'capacityMm' | 'expectedStore'>,
  instantMs: number,
): number {
  const { startMs, stepMin, storeMm } = bed.expectedStore;
  const step = Math.floor((instantMs - startMs) / (stepMin * 60_000));
  const storeThenMm = storeMm[Math.min(Math.max(step, 0), storeMm.length - 1)] ?? 0;
  return Math.max(0, bed.capacityMm - storeThenMm);
}
