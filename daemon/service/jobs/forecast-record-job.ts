import { WeatherUnreadable } from '../../../adapters/weather/source.ts';
import { forecastErrors, LEAD_STRETCHES_H } from '../../../calc/futures/error-record.ts';
import { completeHours } from '../../planning/planning-context.ts';
import {
  addForecastErrors,
  hasKeptForecast,
  type KeptForecast,
  keepForecast,
  keptForecastsSince,
  noteForetold,
} from '../../site/store/forecast-record.ts';
import { hasMorningPlan } from '../../site/store/plans.ts';
import type { Job, JobParts } from './job.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
/** The measured hours of a stretch may come so much later than it ends. */
const SETTLES_MS = HOUR_MS;
/** What was not measured by then is not waited for. */
const GIVEN_UP_MS = 4 * DAY_MS;
const FARTHEST_H = Math.max(...LEAD_STRETCHES_H.map(({ toH }) => toH));
/** Earlier hours that are read too, so that a short silence at the beginning can be bridged. */
const BEFORE_MS = 3 * HOUR_MS;

/**
 * Keeps the site's record of forecasts from the first day on: once a day what the morning plan was
 * planned on, and how wrong it was when what came has been measured, by lead time. Only what a source
 * foretold is kept: a day that stands in for a forecast says nothing of forecasts. Hour by hour it notes
 * what the next one is foretold to be, so that a plan through the day knows how far the day departs.
 */
export function forecastRecordJob({ config, db, weather, now }: JobParts): Job {
  const { clock, site } = config;
  const readToday = eachHour();
  const readAhead = eachHour();
  const readPast = eachHour();

  async function read(span: { fromMs: number; toMs: number }, nowMs: number) {
    const reading = await weather.read({ ...span, nowMs });
    return completeHours(reading, site, span).hours;
  }

  async function keepToday(nowMs: number): Promise<void> {
    const siteDay = clock.siteDayOf(nowMs);
    if (!hasMorningPlan(db, siteDay) || hasKeptForecast(db, siteDay)) return;
    if (!readToday(nowMs)) return;
    const fromMs = wholeHourAfter(clock.startOf(siteDay), nowMs);
    const hours = await read({ fromMs, toMs: fromMs + FARTHEST_H * HOUR_MS }, nowMs);
    const foretold = hours.filter(({ origin }) => origin === 'forecast');
    keepForecast(db, { madeMs: nowMs, siteDay, hours: foretold });
  }

  /** What the next hour is foretold to be, held against it once it is measured. */
  async function noteAhead(nowMs: number): Promise<void> {
    if (!readAhead(nowMs)) return;
    // Sun that no source tells is read off the whole day's temperatures.
    const dayStartMs = clock.startOf(clock.siteDayOf(nowMs));
    const nextMs = wholeHourAfter(dayStartMs, nowMs);
    const hours = await read({ fromMs: dayStartMs, toMs: dayStartMs + 2 * DAY_MS }, nowMs);
    const foretold = hours.filter((one) => one.startMs === nextMs && one.origin === 'forecast');
    noteForetold(db, { hours: foretold, toldMs: nowMs });
  }

  async function tellErrors(kept: KeptForecast, nowMs: number): Promise<void> {
    const due = LEAD_STRETCHES_H.filter(
      ({ fromH, toH }) =>
        kept.madeMs + toH * HOUR_MS + SETTLES_MS <= nowMs && !kept.leadsTold.includes(fromH),
    );
    const [first] = kept.hours;
    if (due.length === 0 || first === undefined) return;
    const fromMs = first.startMs - BEFORE_MS;
    const toMs = wholeHourAfter(first.startMs, Math.min(nowMs, kept.madeMs + FARTHEST_H * HOUR_MS));
    const came = await read({ fromMs, toMs }, nowMs);
    const errors = forecastErrors({ madeMs: kept.madeMs, foretold: kept.hours, came }).filter(
      ({ leadFromH }) => due.some(({ fromH }) => fromH === leadFromH),
    );
    addForecastErrors(db, { keptForecastId: kept.keptForecastId, atMs: nowMs, errors });
  }

  return {
    name: 'forecast record',
    every: 'minute',
    async work() {
      const nowMs = now();
      try {
        await keepToday(nowMs);
        await noteAhead(nowMs);
        if (!readPast(nowMs)) return;
        for (const kept of keptForecastsSince(db, nowMs - GIVEN_UP_MS)) {
          await tellErrors(kept, nowMs);
        }
      } catch (error) {
        // Weather that is away is told by those who plan on it; the next look tries again.
        if (!(error instanceof WeatherUnreadable)) throw error;
      }
    },
  };
}

/** Says yes at once and then once an hour; a clock stepped back does not stretch the wait. */
function eachHour(): (nowMs: number) => boolean {
  let saidMs = Number.NEGATIVE_INFINITY;
  return (nowMs) => {
    if (nowMs >= saidMs && nowMs - saidMs < HOUR_MS) return false;
    saidMs = nowMs;
    return true;
  };
}

/** The next whole hour of the site's own, counted from an instant on it. */
function wholeHourAfter(onGridMs: number, instantMs: number): number {
  return onGridMs + Math.ceil((instantMs - onGridMs) / HOUR_MS) * HOUR_MS;
}
