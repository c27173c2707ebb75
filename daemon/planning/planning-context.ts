import {
  type CheckRule,
  type WeatherReading,
  type WeatherSource,
  WeatherUnreadable,
} from '../../adapters/weather/source.ts';
import { type WeatherFutures, weatherFutures } from '../../calc/futures/weather-futures.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { calledHours, changesNothing, type DayCall } from '../../calc/sky/day-call.ts';
import { filledWeather } from '../../calc/sky/missing-weather.ts';
import { type ExpectedHour, isForecastMoved, nowcastHours } from '../../calc/sky/nowcast.ts';
import { carriedHours } from '../../calc/sky/persistence.ts';
import { referenceEtSeries } from '../../calc/sky/reference-et.ts';
import type { EtHour, SitePlace } from '../../calc/sky/weather-hour.ts';
import type { LoadedConfig } from '../site/config/config.ts';
import type { Db } from '../site/store/database.ts';
import { forecastRecord } from '../site/store/forecast-record.ts';
import { type Message, sayIn, sayMessage } from '../words/language.ts';

/** What planning works with. */
export interface PlanningContext {
  db: Db;
  config: LoadedConfig;
  weather: WeatherSource;
  nowMs: number;
}

const HOUR_MS = 3_600_000;
/** Days before the first hour that are read too: to carry forward, and for the sky of last night. */
const DAYS_BEFORE = 3;

/** Complete hours for a plan, with what the source said of itself. */
export interface PlanningWeather {
  hours: EtHour[];
  /** Hours before the first one asked for, as far as they are known. */
  hoursBefore: EtHour[];
  /** Whether the hours foretold were moved by how the measured ones departed. */
  isMoved: boolean;
  reading: WeatherReading;
}

/** A site day's calls, oldest first, and its end. */
interface CalledDay {
  calls: readonly DayCall[];
  endMs: number;
}

/** No plan can be made: it says what is missing and what to do. Its message is English. */
export class NoWeather extends Error {
  override name = 'NoWeather';
  /** What is to be told, or words that are told as they are. */
  readonly told: Message | string;

  constructor(told: Message | string) {
    super(sayMessage(told, sayIn('en')));
    this.told = told;
  }
}

/**
 * Hours with reference ET and without a gap over the stretch asked for.
 * @param request.dayStartMs First instant of the site day: hours are counted from it.
 * @param request.called What persons have called the days to be, earlier days first.
 * @throws NoWeather when an hour is missing and no earlier day can stand in for it.
 */
export async function planningWeather(
  source: WeatherSource,
  place: SitePlace,
  request: {
    fromMs: number;
    toMs: number;
    nowMs: number;
    dayStartMs: number;
    called?: readonly CalledDay[];
    /** What was foretold of hours that have been measured since. */
    foretold?: readonly ExpectedHour[];
  },
): Promise<PlanningWeather> {
  // The hours are the site's own: in zones of half hours they do not begin on whole hours of UTC.
  const { dayStartMs, called = [] } = request;
  // Somebody who has called the day has seen how it departs: it is not counted twice.
  const isCalled = called.some(({ calls, endMs }) => {
    const last = calls.at(-1);
    return endMs > request.nowMs && last !== undefined && !changesNothing(last);
  });
  const foretold = isCalled ? [] : (request.foretold ?? []);
  const hourOf = (instantMs: number, round: (hours: number) => number) =>
    dayStartMs + round((instantMs - dayStartMs) / HOUR_MS) * HOUR_MS;
  const fromMs = hourOf(request.fromMs, Math.floor);
  const toMs = hourOf(request.toMs, Math.ceil);
  const readFromMs = fromMs - DAYS_BEFORE * 24 * HOUR_MS;
  const reading = await source.read({ fromMs: readFromMs, toMs, nowMs: request.nowMs });
  const { hours, gaps, isMoved } = completeHours(reading, place, {
    fromMs: readFromMs,
    toMs,
    called,
    foretold,
  });
  const gap = gaps.find((one) => one.endMs > fromMs);
  if (gap !== undefined || hours.length === 0) {
    const values = { source: reading.source, hours: reading.hours.length };
    if (gap === undefined) throw new NoWeather({ key: 'no_weather', values });
    const from = new Date(gap.startMs).toISOString();
    throw new NoWeather({ key: 'no_weather.from', values: { ...values, from } });
  }
  return {
    hours: hours.filter((hour) => hour.startMs >= fromMs),
    hoursBefore: hours.filter((hour) => hour.startMs < fromMs),
    isMoved,
    reading,
  };
}

/**
 * Carries, fills, corrects what was carried by the day so far, heeds the day calls and works out
 * reference ET: the pure middle of the way from a reading to a plan.
 */
export function completeHours(
  reading: WeatherReading,
  place: SitePlace,
  request: {
    fromMs: number;
    toMs: number;
    called?: readonly CalledDay[];
    /** What was foretold of hours that have been measured since. */
    foretold?: readonly ExpectedHour[];
  },
): { hours: EtHour[]; gaps: { startMs: number; endMs: number }[]; isMoved: boolean } {
  const { foretold = [] } = request;
  const raw = carriedHours(reading.hours, { ...request, usual: reading.usual ?? [] });
  const { hours: complete, gaps } = filledWeather({ hours: raw, place });
  const filled = nowcastHours(complete, place, foretold);
  const hours = (request.called ?? []).reduce(
    (soFar, { calls, endMs }) => calledHours({ hours: soFar, calls, endMs, place }),
    filled,
  );
  return {
    hours: referenceEtSeries({ hours, place }),
    gaps,
    isMoved: isForecastMoved(complete, foretold),
  };
}

/** The site's own errors count for so long: a season, since forecasts are worse in another. */
const RECORDED_MS = 90 * 24 * HOUR_MS;

/** The ways in which the weather of a plan may go on; hours that have ended are taken as they are known. */
export function futuresOf(
  { hours, hoursBefore, isMoved, reading }: PlanningWeather,
  place: SitePlace,
  { db, nowMs }: Pick<PlanningContext, 'db' | 'nowMs'>,
): WeatherFutures {
  return weatherFutures({
    hours,
    place,
    asOfMs: nowMs,
    earlierDays: hoursBefore,
    isMoved,
    record: forecastRecord(db, nowMs - RECORDED_MS),
    ensemble: (reading.members ?? []).map((raw) => filledWeather({ hours: raw, place }).hours),
  });
}

/** What a plan has to say of its sources: who is silent or too old, and what their checks refused. Pure. */
export function weatherNotes(reading: WeatherReading, nowMs: number): PlanWarning[] {
  const stale = (reading.standings ?? []).filter((one) => one.stale);
  return [
    ...stale.map(({ source, asOfMs, staleAfterH, fault }): PlanWarning => {
      const ageH = asOfMs === null ? null : (nowMs - asOfMs) / HOUR_MS;
      const facts = { source, weatherAsOfMs: asOfMs, ageH, staleAfterH, fault };
      return { code: 'weather_stale', bedId: null, ...facts };
    }),
    ...checkNotes(reading),
  ];
}

/** One line a check, with the first thing that it refused. */
function checkNotes({ problems }: WeatherReading): PlanWarning[] {
  const failed = problems.flatMap(({ rule, ...rest }) =>
    rule === undefined ? [] : [{ rule, ...rest }],
  );
  const rules = [...new Set(failed.map(({ rule }) => rule))];
  return rules.flatMap((rule: CheckRule): PlanWarning[] => {
    const of = failed.filter((one) => one.rule === rule);
    const [first] = of;
    if (first === undefined) return [];
    const { where, what, done } = first;
    return [{ code: 'weather_checked', bedId: null, rule, where, what, done, more: of.length - 1 }];
  });
}

/** Why a question got no answer: a closed list. */
type NotReckonedCode =
  /** Its asker has asked something newer, which took its place. */
  | 'newer_asked'
  /** As much waits already as may wait. */
  | 'too_busy'
  /** It took too long, or the process that worked on it ended. */
  | 'not_reckoned'
  /** The daemon stops, or starts anew with another config. */
  | 'stopping';

/** A question that got no answer: nothing was done, and it can be asked again. Its message is English. */
export class NotReckoned extends Error {
  override name = 'NotReckoned';
  readonly code: NotReckonedCode;
  readonly told: Message;

  constructor(code: NotReckonedCode, told: Message) {
    super(sayMessage(told, sayIn('en')));
    this.code = code;
    this.told = told;
  }
}

/** Why no plan could be made or nothing be worked out, for a person; null: it is another fault. */
export function whyNotPlanned(error: unknown): Message | string | null {
  if (error instanceof NoWeather || error instanceof NotReckoned) return error.told;
  return error instanceof WeatherUnreadable ? error.message : null;
}
