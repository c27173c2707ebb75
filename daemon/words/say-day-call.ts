import type { UnitDisplay } from '../../adapters/display-units.ts';
import { changesNothing, type DayCall } from '../../calc/sky/day-call.ts';
import { type Reader, sayTo } from './plan-words.ts';

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
