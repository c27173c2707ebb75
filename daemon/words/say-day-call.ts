import type { DisplayUnits } from '../../adapters/display-units.ts';
import { changesNothing, type DayCall } from '../../calc/sky/day-call.ts';

/** A day call in words: "3 °C hotter, wind x 1.5, 20 % less sun". */
export function sayDayCall(call: Omit<DayCall, 'atMs'>, units: DisplayUnits): string {
  if (changesNothing(call)) return 'the forecast as it is';
  const { hotterK, windFraction, cloudierFraction } = call;
  const parts: string[] = [];
  if (hotterK !== 0) {
    const [scale, unit] = units === 'us' ? [1.8, '°F'] : [1, '°C'];
    parts.push(`${short(Math.abs(hotterK) * scale)} ${unit} ${hotterK > 0 ? 'hotter' : 'cooler'}`);
  }
  if (windFraction !== 1) parts.push(`wind x ${short(windFraction)}`);
  if (cloudierFraction !== 0) {
    const less = cloudierFraction > 0 ? 'less' : 'more';
    parts.push(`${short(Math.abs(cloudierFraction) * 100)} % ${less} sun`);
  }
  return parts.join(', ');
}

function short(value: number): string {
  return String(Number(value.toFixed(2)));
}
