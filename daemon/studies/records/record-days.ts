import type { SiteClock, SiteDay } from '../../../adapters/site-clock.ts';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { EtHour, HourOrigin } from '../../../calc/sky/weather-hour.ts';
import type { Estimate } from '../../words/estimate-words.ts';

/** Most days that one record may cover: two seasons. */
export const MAX_RECORD_DAYS = 732;

/** The site days that a record covers, and the instants at which they begin and end. */
export interface Span {
  days: { siteDay: SiteDay; startMs: number; endMs: number }[];
  fromMs: number;
  toMs: number;
}

/** The days from one to another, both among them. A day has 23 or 25 hours where the clock changes. */
export function spanOf(from: SiteDay, to: SiteDay, clock: SiteClock): Span {
  const days: Span['days'] = [];
  for (let siteDay = from; siteDay <= to; siteDay = clock.addDays(siteDay, 1)) {
    if (days.length === MAX_RECORD_DAYS) {
      throw new RangeError(
        `span: more than ${MAX_RECORD_DAYS} days (got ${from} to ${to}); ask for a shorter one`,
      );
    }
    days.push({
      siteDay,
      startMs: clock.startOf(siteDay),
      endMs: clock.startOf(clock.addDays(siteDay, 1)),
    });
  }
  const first = days[0];
  const last = days.at(-1);
  if (first === undefined || last === undefined) {
    throw new RangeError(`span: ends before it begins (got ${from} to ${to}); turn it round`);
  }
  return { days, fromMs: first.startMs, toMs: last.endMs };
}

/** A day's weather, and what it rests on. */
export interface DayWeather {
  /** `hours`: from a source that still has measured hours of it; `plan`: as the day's first plan had it. */
  from: 'hours' | 'plan';
  highC: number;
  lowC: number;
  windMaxMPerS: number;
  rainMm: number;
  referenceEtMm: number;
  hoursByOrigin: Record<HourOrigin, number>;
  /** Hours in which a value was filled by a published procedure; null: not known. */
  filledHours: number | null;
}

/** Weather of a day from its hours; null without any. Pure. */
export function weatherOfHours(hours: readonly EtHour[]): DayWeather | null {
  if (hours.length === 0) return null;
  const hoursByOrigin: Record<HourOrigin, number> = {
    observed: 0,
    forecast: 0,
    carried: 0,
    usual: 0,
  };
  for (const { origin } of hours) hoursByOrigin[origin] += 1;
  const sum = (pick: (hour: EtHour) => number) =>
    hours.reduce((total, hour) => total + pick(hour), 0);
  return {
    from: 'hours',
    highC: Math.max(...hours.map((hour) => hour.airTempC)),
    lowC: Math.min(...hours.map((hour) => hour.airTempC)),
    windMaxMPerS: Math.max(...hours.map((hour) => hour.windMPerS)),
    rainMm: sum((hour) => hour.rainMm),
    referenceEtMm: sum((hour) => hour.referenceEtMm),
    hoursByOrigin,
    filledHours: hours.filter(({ filled }) => filled.length > 0).length,
  };
}

/** Weather of a day as a plan had it. */
export function weatherOfPlanned({ weather }: Pick<DayPlan, 'weather'>): DayWeather {
  const { highC, lowC, windMaxMPerS, rainMm, referenceEtMm, hoursByOrigin } = weather;
  return {
    from: 'plan',
    highC,
    lowC,
    windMaxMPerS,
    rainMm,
    referenceEtMm,
    hoursByOrigin,
    filledHours: null,
  };
}

/** Why the day's weather is an estimate; nothing: every hour was measured and none was filled. */
export function weatherEstimate({ from, hoursByOrigin, filledHours }: DayWeather): Estimate[] {
  const { observed, forecast, carried, usual } = hoursByOrigin;
  const standIn = carried + usual;
  const all = observed + forecast + standIn;
  return [
    ...(from === 'plan' ? [{ code: 'as_planned_over', hours: all } as const] : []),
    ...(forecast > 0 ? [{ code: 'hours_foretold', hours: forecast } as const] : []),
    ...(standIn > 0 ? [{ code: 'hours_stand_in', hours: standIn } as const] : []),
    ...(filledHours !== null && filledHours > 0
      ? [{ code: 'hours_filled', hours: filledHours } as const]
      : []),
  ];
}
