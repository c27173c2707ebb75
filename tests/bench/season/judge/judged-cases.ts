import type { WeatherReading } from '../../../../adapters/weather/source.ts';
import type { RealHour } from '../../../../calc/sand/reference-column.ts';
import { type SandClass, sandClass } from '../../../../calc/sand/sand-classes.ts';
import { type PlaceWeather, placedWindows, type SeasonCase, seasonCase } from '../season-case.ts';
import { WINDOW_DAYS } from '../windows.ts';
import { dayAheadHours } from './day-ahead.ts';
import { openNightSurplusMm } from './night-loss.ts';
import { measuredWeather } from './told-hours.ts';
import { drawnTruth, type Truth } from './truths.ts';

const DAY_MS = 24 * 3_600_000;
const TRUTH_SEED = 200_000;
const FORECAST_SEED = 500_000;
const SEED_STEP = 101;
/** One case in so many, and one window of each place, is kept apart from any choice. */
const KEPT_APART_OF = 3;

/** A drawn bed in a window of weather, with what was foretold of it. */
export interface JudgedCase {
  name: string;
  /** Nothing may be tuned on it: neither its bed nor its window is among those of the others. */
  isApart: boolean;
  seed: number;
  standIn: SandClass;
  truth: Truth;
  one: SeasonCase;
  dayAhead: WeatherReading;
}

/** A case's place in the order of all. */
export interface CaseSlot {
  isApart: boolean;
  className: string;
  seed: number;
  /** Which of the windows of its part, counted round. */
  turn: number;
}

/**
 * The order of cases: class after class, of each class every third bed kept apart, and the windows of
 * each part in turn. The first cases of a long run are those of a short one.
 */
export function caseSlots(classes: readonly string[], cases: number): CaseSlot[] {
  const turns = { apart: 0, others: 0 };
  return Array.from({ length: cases }, (_, index) => {
    const round = Math.floor(index / classes.length);
    const isApart = (index + round) % KEPT_APART_OF === KEPT_APART_OF - 1;
    const className = classes[index % classes.length] ?? '';
    const turn = isApart ? turns.apart++ : turns.others++;
    return { isApart, className, seed: SEED_STEP * index, turn };
  });
}

type Placed = ReturnType<typeof placedWindows>[number];

/**
 * Of each place one window is kept apart: of the first the hottest, of the next ones other kinds. One
 * that shares a day with it is left out.
 */
export function windowsApart(sources: readonly PlaceWeather[]): {
  apart: Placed[];
  others: Placed[];
} {
  const byPlace = sources.map((source, index) => {
    const own = placedWindows([source]);
    const kept = own[(2 * index) % own.length];
    if (kept === undefined) return { apart: [], others: [] };
    return { apart: [kept], others: own.filter((one) => !shareDay(one, kept)) };
  });
  return {
    apart: byPlace.flatMap(({ apart }) => apart),
    others: byPlace.flatMap(({ others }) => others),
  };
}

/** Of two windows of one place. */
function shareDay({ window, config: { clock } }: Placed, other: Placed): boolean {
  const offMs = clock.startOf(window.siteDay) - clock.startOf(other.window.siteDay);
  return Math.abs(offMs) < WINDOW_DAYS * DAY_MS - DAY_MS / 2;
}

/** The case of a slot; its bed is worked out here, which takes the column a while. */
export function judgedCase(
  { isApart, className, seed, turn }: CaseSlot,
  windows: { apart: readonly Placed[]; others: readonly Placed[] },
): JudgedCase {
  const own = isApart ? windows.apart : windows.others;
  const placed = own[turn % own.length];
  if (placed === undefined) throw new Error('no weather to judge in');
  const { source, config, window } = placed;
  const firstMs = config.clock.startOf(window.siteDay);
  const around = { fromMs: firstMs - 4 * DAY_MS, toMs: firstMs + (WINDOW_DAYS + 4) * DAY_MS };
  const measured = measuredWeather(source, around);
  const standIn = sandClass(className);
  const truth = drawnTruth(standIn, TRUTH_SEED + seed);
  const bare = seasonCase(config, measured, { sand: className, bed: truth.bed, window });
  const { clock, site: place } = config;
  const { hours } = measured.reading;
  return {
    name: `${className} ${seed / SEED_STEP + 1}, ${source.place.name}, ${window.kind}`,
    isApart,
    seed,
    standIn,
    truth,
    one: { ...bare, trial: { ...bare.trial, hours: lostBy(truth, bare, measured) } },
    dayAhead: {
      ...measured.reading,
      source: 'day-ahead forecast',
      hours: dayAheadHours(hours, { clock, place, seed: FORECAST_SEED + seed }),
    },
  };
}

/** The real weather, with what this bed loses in it. */
function lostBy(truth: Truth, { trial, config }: SeasonCase, { hours }: PlaceWeather): RealHour[] {
  const surplus = openNightSurplusMm(hours, config.site);
  const lossMm = new Map(
    hours.map((hour, index) => [
      hour.startMs,
      truth.lossCoefficient *
        (hour.referenceEtMm + truth.openNightFraction * (surplus[index] ?? 0)),
    ]),
  );
  return trial.hours.map((hour) => ({
    ...hour,
    demandMmPerH: Math.max(0, lossMm.get(hour.startMs) ?? Number.NaN),
  }));
}
