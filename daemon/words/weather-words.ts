import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { DayPlan, PlanWeather, WeatherShare } from '../../calc/schedule/day-plan.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { changesNothing, type DayCall } from '../../calc/sky/day-call.ts';
import { USUAL_WIND_M_PER_S } from '../../calc/sky/missing-weather.ts';
import { isMessage } from './language.ts';
import { type Reader, sayTo } from './plan-words.ts';

/** A source that is silent, or told too long ago to be taken. */
export function sayStale(
  warning: Extract<PlanWarning, { code: 'weather_stale' }>,
  siteDay: string,
  reader: Reader,
): string {
  const { source, fault, weatherAsOfMs, ageH, staleAfterH } = warning;
  const say = sayTo(reader);
  if (fault !== null) return say('warning.weather_stale.fault', { source, fault });
  if (weatherAsOfMs === null || ageH === null) {
    return say('warning.weather_stale.nothing', { source });
  }
  const { clock } = reader;
  const time = clock.timeOf(weatherAsOfMs);
  const day = clock.siteDayOf(weatherAsOfMs);
  return say('warning.weather_stale.old', {
    source,
    age: ageH.toFixed(1),
    at: day === siteDay ? time : `${day} ${time}`,
    limit: staleAfterH ?? '-',
  });
}

/** What stands in for a value that no source gave. */
export function sayFill(how: string, reader: Pick<Reader, 'language' | 'show'>): string {
  const say = sayTo(reader);
  const key = `fill.${how}`;
  // A plan of before has it in words.
  if (!isMessage(key)) return how;
  return say(key, { wind: reader.show.speed(USUAL_WIND_M_PER_S) });
}

/** A day call in words: "3 °C hotter, wind x 1.5, 20 % less sun". */
export function sayDayCall(
  call: Omit<DayCall, 'atMs'>,
  reader: Pick<Reader, 'language'> & { show: Pick<UnitDisplay, 'units'> },
): string {
  const say = sayTo(reader);
  if (changesNothing(call)) return say('day_call.none');
  const { hotterK, windFraction, cloudierFraction } = call;
  const parts: string[] = [];
  if (hotterK !== 0) {
    const [scale, unit] = reader.show.units === 'us' ? [1.8, '°F'] : [1, '°C'];
    const change = `${short(Math.abs(hotterK) * scale)} ${unit}`;
    parts.push(say(hotterK > 0 ? 'day_call.hotter' : 'day_call.cooler', { change }));
  }
  if (windFraction !== 1) parts.push(say('day_call.wind', { factor: short(windFraction) }));
  if (cloudierFraction !== 0) {
    const pct = short(Math.abs(cloudierFraction) * 100);
    parts.push(say(cloudierFraction > 0 ? 'day_call.less_sun' : 'day_call.more_sun', { pct }));
  }
  return parts.join(', ');
}

function short(value: number): string {
  return String(Number(value.toFixed(2)));
}

const HOUR_MS = 3_600_000;

/** What the spread of the weather rests on; null: the plan had none, or is one of before. */
export function saySpread(
  { futuresBasis }: Pick<PlanWeather, 'futuresBasis'>,
  reader: Pick<Reader, 'language'>,
): string | null {
  return futuresBasis === undefined ? null : sayTo(reader)(`spread.${futuresBasis}`);
}

/** Who told which hours of a plan and how old that was, one line each, and how far it may be off. */
export function weatherLines(plan: DayPlan, reader: Pick<Reader, 'language' | 'clock'>): string[] {
  const shares = shareLines(plan.weather.shares ?? [], { nowMs: plan.madeAtMs, reader });
  const spread = saySpread(plan.weather, reader);
  return spread === null ? shares : [...shares, sayTo(reader)('weather_spread', { spread })];
}

/** Who told which hours, and how old that is now. */
export function shareLines(
  shares: readonly WeatherShare[],
  { nowMs, reader }: { nowMs: number; reader: Pick<Reader, 'language' | 'clock'> },
): string[] {
  const { clock } = reader;
  const say = sayTo(reader);
  return shares.map(({ source, origin, hours, asOfMs }) => {
    const values = { hours, origin: say(`weather_origin.${origin}`), source };
    if (asOfMs === null) return say('weather_share', values);
    const day = clock.siteDayOf(asOfMs);
    const at = `${day === clock.siteDayOf(nowMs) ? '' : `${day} `}${clock.timeOf(asOfMs)}`;
    const age = (Math.max(0, nowMs - asOfMs) / HOUR_MS).toFixed(1);
    return say('weather_share.of', { ...values, at, age });
  });
}
