import { describe, expect, it } from 'vitest';
import { countedRainMm, roomBeforeMm } from '../../../calc/schedule/plan-notices.ts';
import type { EtHour } from '../../../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;

/** Six invented hours; the bed loses as much as the reference. */
const hours = (rainMm: number[], referenceEtMm = 0): EtHour[] =>
  rainMm.map((mm, index) => ({
    startMs: index * HOUR_MS,
    origin: 'forecast',
    airTempC: 20,
    vapourPressureKPa: 1,
    windMPerS: 1,
    solarMjPerM2: 1,
    rainMm: mm,
    filled: [],
    referenceEtMm,
    wetNightEtMm: referenceEtMm,
  }));
const bed = (storeMm: number[], lossMm = 0) => ({
  capacityMm: 2,
  lossMm,
  expectedStore: { startMs: 0, stepMin: 60, storeMm },
});

describe('countedRainMm', () => {
  it.each([
    {
      why: 'less than the room counts whole',
      rain: [0, 0.6, 0],
      store: [1, 1, 1, 1],
      counted: 0.6,
    },
    { why: 'more counts up to the room', rain: [0, 9, 0], store: [1, 1.5, 1, 1], counted: 0.5 },
    {
      why: 'a shower over two hours shares the room',
      rain: [0.8, 9, 0],
      store: [1, 1, 2, 2],
      counted: 1,
    },
    {
      why: 'a second shower has the room of its own hour',
      rain: [9, 0, 9],
      store: [1, 2, 0.5, 2],
      counted: 2.5,
    },
    { why: 'nothing counts on a full seedbed', rain: [9], store: [2, 2], counted: 0 },
  ])('$why', ({ rain, store, counted }) => {
    expect(countedRainMm(bed(store), hours(rain))).toBeCloseTo(counted, 12);
  });

  it('adds what the bed loses while it rains', () => {
    expect(countedRainMm(bed([2, 2, 2, 2], 0.9), hours([5, 5, 5], 0.3))).toBeCloseTo(0.9, 12);
  });

  it('counts no rain after the expected store', () => {
    expect(countedRainMm(bed([0, 0]), hours([0, 5]))).toBe(0);
  });
});

describe('roomBeforeMm', () => {
  it('is never below nothing, and holds the ends', () => {
    const one = bed([2.5, 0.5]);
    expect([-1, 0, 1, 9].map((hour) => roomBeforeMm(one, hour * HOUR_MS))).toEqual([
      0, 0, 1.5, 1.5,
    ]);
  });
});
