import type { SiteClock, SiteDay } from '../../../adapters/site-clock.ts';
import type { EtHour } from '../../../calc/sky/weather-hour.ts';

export const WINDOW_DAYS = 5;
const LEAST_HIGH_C = 20;

interface DayFigures {
  siteDay: SiteDay;
  highC: number;
  windMPerS: number;
  rainMm: number;
  referenceEtMm: number;
}

/** Five days in a row that one rule picked out of all that a source has. */
export interface WeatherWindow extends DayFigures {
  kind: string;
}

/**
 * Three windows of a source's growing season, by rules that know nothing of any plan: the hottest
 * without rain, the windiest of warm and all but dry ones, and the one whose days differ most.
 */
export function pickedWindows(hours: readonly EtHour[], clock: SiteClock): WeatherWindow[] {
  const days = figuresByDay(hours, clock);
  const windows = days.flatMap((first, index) => {
    const own = days.slice(index, index + WINDOW_DAYS);
    const last = own.at(-1);
    const isWhole =
      own.length === WINDOW_DAYS &&
      last?.siteDay === clock.addDays(first.siteDay, WINDOW_DAYS - 1) &&
      isGrowing(first.siteDay) &&
      isGrowing(last.siteDay);
    return isWhole ? [{ ...meanOf(own), siteDay: first.siteDay, spreadMm: spreadOf(own) }] : [];
  });
  const warm = windows.filter((one) => one.highC >= LEAST_HIGH_C);
  const picks: [string, (typeof windows)[number] | undefined][] = [
    [
      'hot and dry',
      most(
        windows.filter((one) => one.rainMm === 0),
        (one) => one.highC,
      ),
    ],
    [
      'windy',
      most(
        warm.filter((one) => one.rainMm * WINDOW_DAYS <= 2),
        (one) => one.windMPerS,
      ),
    ],
    ['mixed', most(warm, (one) => one.spreadMm)],
  ];
  return picks.flatMap(([kind, one]) => (one === undefined ? [] : [{ ...one, kind }]));
}

function isGrowing(siteDay: SiteDay): boolean {
  const monthDay = siteDay.slice(5);
  return monthDay >= '04-15' && monthDay <= '10-15';
}

function figuresByDay(hours: readonly EtHour[], clock: SiteClock): DayFigures[] {
  const byDay = new Map<SiteDay, EtHour[]>();
  for (const hour of hours) {
    const day = clock.siteDayOf(hour.startMs);
    const own = byDay.get(day);
    if (own === undefined) byDay.set(day, [hour]);
    else own.push(hour);
  }
  return [...byDay].flatMap(([siteDay, own]) => {
    if (own.length < 23) return [];
    const sum = (pick: (hour: EtHour) => number) =>
      own.reduce((total, hour) => total + pick(hour), 0);
    return {
      siteDay,
      highC: Math.max(...own.map((hour) => hour.airTempC)),
      windMPerS: sum((hour) => hour.windMPerS) / own.length,
      rainMm: sum((hour) => hour.rainMm),
      referenceEtMm: sum((hour) => hour.referenceEtMm),
    };
  });
}

function meanOf(days: readonly DayFigures[]): Omit<DayFigures, 'siteDay'> {
  const mean = (pick: (day: DayFigures) => number) =>
    days.reduce((sum, day) => sum + pick(day), 0) / days.length;
  return {
    highC: mean((day) => day.highC),
    windMPerS: mean((day) => day.windMPerS),
    rainMm: mean((day) => day.rainMm),
    referenceEtMm: mean((day) => day.referenceEtMm),
  };
}

function spreadOf(days: readonly DayFigures[]): number {
  const { referenceEtMm: mean } = meanOf(days);
  const squares = days.reduce((sum, day) => sum + (day.referenceEtMm - mean) ** 2, 0);
  return Math.sqrt(squares / days.length);
}

function most<T>(all: readonly T[], of: (one: T) => number): T | undefined {
  return all.reduce<T | undefined>(
    (best, one) => (best === undefined || of(one) > of(best) ? one : best),
    undefined,
  );
}
