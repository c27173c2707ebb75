import { expect, test } from 'vitest';
import {
  airPressureKPa,
  psychrometricKPaPerC,
  saturationKPa,
  saturationSlopeKPaPerC,
} from '../../../../calc/sky/air.ts';
import { hourlyReferenceEt, penmanMonteithMm } from '../../../../calc/sky/reference-et.ts';
import { inventedSummer } from './invented-summer.ts';
import { openNightSurplusMm } from './night-loss.ts';

const { place, hours } = inventedSummer(3);
const surplusMm = openNightSurplusMm(hours, place);

test('nothing by day', () => {
  for (const [index, hour] of hours.entries()) {
    if (hour.solarMjPerM2 > 0.5) expect(surplusMm[index]).toBe(0);
  }
  expect(surplusMm.some((one) => one > 0)).toBe(true);
});

test('by night the equation with the resistance of the day, all else the same', () => {
  const index = 24 + 22;
  const hour = hours[index];
  if (hour === undefined) throw new Error('the summer is too short');
  // Clouds of this summer are those of the day before, 0.8 of a clear sky: 1.35 x 0.8 - 0.35.
  const closed = hourlyReferenceEt({
    ...hour,
    surface: 'asce_short',
    cloudinessFraction: 0.73,
    elevationM: place.elevationM,
  });
  expect(closed.netRadiationMjPerM2).toBeLessThan(0);
  const open = penmanMonteithMm({
    ...closed,
    slopeKPaPerC: saturationSlopeKPaPerC(hour.airTempC),
    psychrometricKPaPerC: psychrometricKPaPerC(airPressureKPa(place.elevationM)),
    airTempC: hour.airTempC,
    windMPerS: hour.windMPerS,
    vapourDeficitKPa: saturationKPa(hour.airTempC) - hour.vapourPressureKPa,
    numerator: 37,
    denominatorSPerM: 0.24,
  });
  expect(surplusMm[index]).toBeCloseTo(open.referenceEtMm - hour.referenceEtMm, 6);
});
