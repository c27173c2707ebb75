import { expect, test } from 'vitest';
import { dampingOffNotice } from '../../../../calc/growth/hazards/disease-notices.ts';
import {
  frostNotice,
  heatNotice,
  heavyRainNotice,
  windNotice,
} from '../../../../calc/growth/hazards/weather-notices.ts';
import { dayOf, HOUR_MS, hourAt, NOON_MS } from './weather-hours.ts';

const mild = dayOf(() => ({}));

test('a mild, calm, dry day raises nothing', () => {
  expect(heatNotice({ hours: mild })).toBeNull();
  expect(frostNotice({ hours: mild, limitC: 3 })).toBeNull();
  expect(windNotice({ hours: mild })).toBeNull();
  expect(heavyRainNotice({ hours: mild, roomMm: 0 })).toBeNull();
  expect(dampingOffNotice({ hours: mild, waterMm: 9, lossMm: 3 })).toBeNull();
});

test.each([
  [31.9, undefined],
  [32, 'note'],
  [40, 'warn'],
  [45, 'danger'],
])('a surface of %f °C: %s', (surfaceTempC, severity) => {
  const surfaceTempsC = mild.map((_, index) => (index === 2 ? surfaceTempC : 25));
  expect(heatNotice({ hours: mild, surfaceTempsC })?.severity).toBe(severity);
});

test('heat spans its hot hours, tells what was measured, and falls back on the air', () => {
  const hours = dayOf((hour) => ({ airTempC: hour >= 1 && hour <= 3 ? 33 + hour : 25 }));
  expect(heatNotice({ hours })).toMatchObject({
    fromMs: NOON_MS + HOUR_MS,
    toMs: NOON_MS + 4 * HOUR_MS,
    inputs: { peakC: 36, limitC: 32, hotHours: 3, measure: 'air' },
  });
  const surfaceTempsC = hours.map((hour) => hour.airTempC + 15);
  expect(heatNotice({ hours, surfaceTempsC })).toMatchObject({
    inputs: { measure: 'seedbed_surface' },
  });
  expect(() => heatNotice({ hours, surfaceTempsC: [30] })).toThrow(/got 1 for 24/);
});

test('frost begins at the limit and ends above it; freezing air is danger', () => {
  const hours = dayOf((hour) => ({ airTempC: Math.abs(hour - 16) / 2 + 1 }));
  expect(frostNotice({ hours, limitC: 3 })).toMatchObject({
    severity: 'warn',
    fromMs: NOON_MS + 12 * HOUR_MS,
    toMs: NOON_MS + 21 * HOUR_MS,
    inputs: { lowC: 1, limitC: 3, coldHours: 9 },
  });
  expect(frostNotice({ hours, limitC: 0.9 })).toBeNull();
  const freezing = dayOf((hour) => ({ airTempC: Math.abs(hour - 16) - 1 }));
  expect(frostNotice({ hours: freezing, limitC: 3 })?.severity).toBe('danger');
  expect(() => frostNotice({ hours, limitC: 20 })).toThrow(RangeError);
});

test('the first of two cold spells is told, and a missing hour ends a spell', () => {
  const hours = [0, 1, 5, 6].map((hour) => hourAt(hour, { airTempC: 2 }));
  expect(frostNotice({ hours, limitC: 3 })?.toMs).toBe(NOON_MS + 2 * HOUR_MS);
});

test('wind above 4 m/s is a note, above 6 m/s a choice to make', () => {
  const blowing = (windMPerS: number) => dayOf((hour) => (hour === 4 ? { windMPerS } : {}));
  expect(windNotice({ hours: blowing(4) })).toBeNull();
  expect(windNotice({ hours: blowing(4.1) })?.severity).toBe('note');
  expect(windNotice({ hours: blowing(6) })?.severity).toBe('note');
  const sharp = windNotice({ hours: blowing(6.1) });
  expect(sharp).toMatchObject({ severity: 'warn', fromMs: NOON_MS + 4 * HOUR_MS });
});

test('the strongest wind of several windy hours decides, and all of them are its span', () => {
  const gusts = [3, 5, 7, 4.5, 2];
  const hours = dayOf((hour) => ({ windMPerS: gusts[hour] ?? 1 }));
  expect(windNotice({ hours })).toMatchObject({
    severity: 'warn',
    fromMs: NOON_MS + HOUR_MS,
    toMs: NOON_MS + 4 * HOUR_MS,
    inputs: { strongestMPerS: 7, windyHours: 3, hurtMPerS: 4, sharplyHurtMPerS: 6 },
  });
  // The same hours in another order span the same.
  expect(windNotice({ hours: hours.toReversed() })).toMatchObject({
    fromMs: NOON_MS + HOUR_MS,
    toMs: NOON_MS + 4 * HOUR_MS,
  });
});

test('a wind limit may be any above 0, and sharply hurt may begin where hurt does', () => {
  const hours = dayOf((hour) => (hour === 4 ? { windMPerS: 0.9 } : { windMPerS: 0 }));
  const limits = { hurtMPerS: 0.5, sharplyHurtMPerS: 0.5 };
  expect(windNotice({ hours, limits })?.severity).toBe('warn');
  expect(() => windNotice({ hours, limits: { ...limits, hurtMPerS: 0 } })).toThrow(RangeError);
  expect(() => windNotice({ hours, limits: { ...limits, sharplyHurtMPerS: 0.4 } })).toThrow(
    RangeError,
  );
});

test('heavy rain matters on a full seedbed; steady rain beyond the room leaches', () => {
  const shower = dayOf((hour) => (hour === 3 ? { rainMm: 8 } : {}));
  expect(heavyRainNotice({ hours: shower, roomMm: 0.5 })).toMatchObject({
    severity: 'warn',
    fromMs: NOON_MS + 3 * HOUR_MS,
    toMs: NOON_MS + 4 * HOUR_MS,
    inputs: { rainMm: 8, heaviestMmPerH: 8, roomMm: 0.5, beyondRoomMm: 7.5 },
  });
  const storm = dayOf((hour) => ({ rainMm: [0, 2, 9, 1][hour] ?? 0 }));
  expect(heavyRainNotice({ hours: storm, roomMm: 1 })).toMatchObject({
    severity: 'warn',
    fromMs: NOON_MS + HOUR_MS,
    toMs: NOON_MS + 4 * HOUR_MS,
    inputs: { rainMm: 12, heaviestMmPerH: 9, beyondRoomMm: 11 },
  });
  expect(heavyRainNotice({ hours: shower, roomMm: 10 })).toBeNull();
  const steady = dayOf((hour) => (hour < 6 ? { rainMm: 1 } : {}));
  expect(heavyRainNotice({ hours: steady, roomMm: 0.5 })).toMatchObject({
    severity: 'note',
    fromMs: NOON_MS,
    toMs: NOON_MS + 6 * HOUR_MS,
  });
  // An hour at the limit is not yet heavy (7.6 mm, American Meteorological Society, from memory).
  const atLimit = (rainMm: number) => dayOf((hour) => (hour === 3 ? { rainMm } : {}));
  expect(heavyRainNotice({ hours: atLimit(7.6), roomMm: 3 })).toBeNull();
  expect(heavyRainNotice({ hours: atLimit(7.7), roomMm: 3 })?.severity).toBe('warn');
  expect(heavyRainNotice({ hours: atLimit(7.6), roomMm: 2.6 })?.severity).toBe('note');
  expect(heavyRainNotice({ hours: steady, roomMm: 1.5 })).toBeNull();
});

test('damping-off weather needs both warmth above 21 °C and more water than the loss', () => {
  const warm = dayOf(() => ({ airTempC: 21.1 }));
  expect(dampingOffNotice({ hours: warm, waterMm: 5.3, lossMm: 4 })?.code).toBe('damping_off');
  expect(dampingOffNotice({ hours: warm, waterMm: 5.2, lossMm: 4 })).toBeNull();
  const atLimit = dayOf(() => ({ airTempC: 21 }));
  expect(dampingOffNotice({ hours: atLimit, waterMm: 9, lossMm: 4 })).toBeNull();
  const rainy = dayOf((hour) => ({ airTempC: 25, rainMm: hour === 0 ? 4 : 0 }));
  const notice = dampingOffNotice({ hours: rainy, waterMm: 2, lossMm: 4 });
  expect(notice).toMatchObject({
    severity: 'note',
    fromMs: NOON_MS,
    toMs: NOON_MS + 24 * HOUR_MS,
    inputs: { meanC: 25, warmC: 21, waterMm: 2, rainMm: 4, lossMm: 4, excessPct: 130 },
  });
  expect(dampingOffNotice({ hours: [], waterMm: 2, lossMm: 4 })).toBeNull();
});
