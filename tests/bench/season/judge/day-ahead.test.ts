import { expect, test } from 'vitest';
import { clearSkyMjPerM2 } from '../../../../calc/sky/solar-radiation.ts';
import { sunOfHour } from '../../../../calc/sky/sun-geometry.ts';
import type { RawHour } from '../../../../calc/sky/weather-hour.ts';
import { completeHours } from '../../../../daemon/planning/planning-context.ts';
import { siteClock } from '../../../../daemon/site/time/site-clock.ts';
import { dayAheadHours } from './day-ahead.ts';
import { inventedSummer } from './invented-summer.ts';

const { place, reading, hours } = inventedSummer(200);
const clock = siteClock(place.zone);
const said = dayAheadHours(reading.hours, { clock, place, seed: 1 });

const mean = (all: readonly number[]) => all.reduce((sum, one) => sum + one, 0) / all.length;
const deviation = (all: readonly number[]) => {
  const middle = mean(all);
  return Math.sqrt(mean(all.map((one) => (one - middle) ** 2)));
};
const errors = (of: (said: RawHour, came: RawHour) => number) =>
  said.map((hour, index) => of(hour, reading.hours[index] as RawHour));
const byDay = (all: readonly number[]) =>
  Array.from({ length: all.length / 24 }, (_, day) => mean(all.slice(24 * day, 24 * day + 24)));

test('errors have the size of day-ahead verification', () => {
  const air = errors((one, came) => (one.airTempC ?? 0) - (came.airTempC ?? 0));
  const wind = errors((one, came) => Math.log((one.windMPerS ?? 0) / (came.windMPerS ?? 0)));
  // Of 200 days: four standard errors of a standard deviation are a fifth of it.
  expect(Math.abs(deviation(byDay(air)) / 1.7 - 1)).toBeLessThan(0.2);
  expect(Math.abs(deviation(byDay(wind)) / 0.25 - 1)).toBeLessThan(0.2);
  // The wobble: a third of it, around the day's own.
  const days = byDay(air);
  const wobble = air.map((one, index) => one - (days[Math.floor(index / 24)] ?? 0));
  expect(deviation(wobble) / 1.7).toBeGreaterThan(0.2);
  expect(deviation(wobble) / 1.7).toBeLessThan(1 / 3);
  // Slow: an hour is like the one before.
  const next = mean(wobble.slice(1).map((one, index) => one * (wobble[index] ?? 0)));
  expect(next / deviation(wobble) ** 2).toBeGreaterThan(0.5);
});

test('nothing is foretold too high or too low in the mean but a bright sun', () => {
  const air = errors((one, came) => (one.airTempC ?? 0) - (came.airTempC ?? 0));
  const wind = errors((one, came) => (one.windMPerS ?? 0) / (came.windMPerS ?? 0));
  expect(Math.abs(mean(air))).toBeLessThan(4 * (1.7 / Math.sqrt(200)));
  expect(Math.abs(mean(wind) - 1)).toBeLessThan(4 * (0.25 / Math.sqrt(200)));
});

test('dew stays below air and the sun below a clear sky', () => {
  const tooMoist = said.filter((hour) => (hour.dewPointC ?? 0) > (hour.airTempC ?? 0));
  const tooBright = said.filter((hour) => {
    const sun = sunOfHour({ ...place, startMs: hour.startMs });
    return (hour.solarMjPerM2 ?? 0) > clearSkyMjPerM2({ ...sun, ...place }) + 1e-9;
  });
  expect([tooMoist, tooBright]).toEqual([[], []]);
});

test('daily reference ET is wrong by 13 to 24 %, as published', () => {
  // 13 to 20 %: Medina & Tian 2020, HESS 24:1011, after statistical correction; up to 24 % worked
  // out with another program for errors of this size.
  const span = {
    fromMs: hours[0]?.startMs ?? 0,
    toMs: (hours.at(-1)?.startMs ?? 0) + 3_600_000,
  };
  const told = completeHours({ ...reading, hours: said }, place, span).hours;
  const came = byDay(hours.map((hour) => hour.referenceEtMm));
  const off = byDay(told.map((hour) => hour.referenceEtMm)).map((day, i) => day - (came[i] ?? 0));
  const error = Math.sqrt(mean(off.map((one) => one ** 2))) / mean(came);
  expect(error).toBeGreaterThan(0.13);
  expect(error).toBeLessThan(0.24);
});

test('a case has one forecast, another case another', () => {
  const first = reading.hours.slice(0, 48);
  expect(dayAheadHours(first, { clock, place, seed: 1 })).toEqual(said.slice(0, 48));
  expect(dayAheadHours(first, { clock, place, seed: 2 })).not.toEqual(said.slice(0, 48));
});
