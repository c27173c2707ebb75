import { dampingOffNotice } from '../growth/hazards/damping-off.ts';
import { frostNotice } from '../growth/hazards/frost.ts';
import { heavyRainNotice } from '../growth/hazards/heavy-rain.ts';
import { pythiumNotices } from '../growth/hazards/pythium.ts';
import { reclaimedWaterNotice, type Stretch } from '../growth/hazards/reclaimed-water.ts';
import { irrigationSalinityNotice } from '../growth/hazards/salinity.ts';
import { WATER_LIMITS, waterAgainstLossNotice } from '../growth/hazards/water-against-loss.ts';
import { WIND_LIMITS, windNotice } from '../growth/hazards/wind.ts';
import type { Notice, NoticeSeverity } from '../growth/notice.ts';
import type { Stage, StageName } from '../growth/stages.ts';
import type { EtHour, WeatherHour } from '../sky/weather-hour.ts';
import { countedRainMm, roomBeforeMm } from './counted-rain.ts';
import type { BedPlan, PlanNotice } from './day-plan.ts';
import type { WaterWindow } from './due-window.ts';
import { heatNotices } from './heat-notices.ts';
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
export interface PlanNoticesInput {
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
