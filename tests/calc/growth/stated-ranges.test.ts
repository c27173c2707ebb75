import { describe, expect, it } from 'vitest';
import {
  coverFraction,
  dryingFraction,
  exposedWettedFraction,
  soilEvaporationCoefficient,
  upperCoefficient,
} from '../../../calc/growth/crop-coefficient.ts';
import { germinationWindow } from '../../../calc/growth/germination-clock.ts';
import { dampingOffNotice } from '../../../calc/growth/hazards/disease-notices.ts';
import { waterSalinityClass } from '../../../calc/growth/hazards/water-notices.ts';
import { frostNotice, heavyRainNotice } from '../../../calc/growth/hazards/weather-notices.ts';
import { seedOrder } from '../../../calc/growth/seed-rate.ts';
import { BENTGRASS_PACE, hourGainCDays } from '../../../calc/growth/thermal-time.ts';
import { holdAboveNothing, holdToRanges } from '../../stated-range.ts';

const upper = {
  windMPerS: 2,
  leastHumidityPct: 45,
  heightM: 0.1,
  basalCoefficient: 0.5,
};
const surfaceLayer = { evaporableMm: 12, readilyMm: 6, depletionMm: 3 };
const soil = {
  basalCoefficient: 0.3,
  upperCoefficient: 1.2,
  exposedWettedFraction: 0.5,
  dryingFraction: 1,
};
const pace = (change: Partial<typeof BENTGRASS_PACE>) =>
  germinationWindow({ sownMs: 0, nowMs: 0, hours: [], pace: { ...BENTGRASS_PACE, ...change } });

describe('the ranges of growth', () => {
  holdToRanges({
    'upper wind': {
      least: 0,
      most: 120,
      call: (windMPerS) => upperCoefficient({ ...upper, windMPerS }),
    },
    'upper humidity': {
      least: 0,
      most: 100,
      call: (pct) => upperCoefficient({ ...upper, leastHumidityPct: pct }),
    },
    'upper height': {
      least: 0,
      most: 10,
      call: (heightM) => upperCoefficient({ ...upper, heightM }),
    },
    'upper basal': {
      least: 0,
      most: 2,
      call: (kcb) => upperCoefficient({ ...upper, basalCoefficient: kcb }),
    },
    'drying layer': {
      least: 6,
      most: 200,
      call: (mm) => dryingFraction({ ...surfaceLayer, evaporableMm: mm }),
      isOpenBelow: true,
    },
    'drying readily': {
      least: 0,
      most: 12,
      call: (mm) => dryingFraction({ ...surfaceLayer, readilyMm: mm }),
    },
    'drying depletion': {
      least: 0,
      most: 1e4,
      call: (mm) => dryingFraction({ ...surfaceLayer, depletionMm: mm }),
    },
    'cover height': {
      least: 0,
      most: 10,
      call: (heightM) =>
        coverFraction({
          basalCoefficient: 0.5,
          leastCoefficient: 0.15,
          upperCoefficient: 1.2,
          heightM,
        }),
    },
    'exposed cover': {
      least: 0,
      most: 1,
      call: (fc) => exposedWettedFraction({ coverFraction: fc }),
    },
    'exposed wetted': {
      least: 0,
      most: 1,
      call: (fw) => exposedWettedFraction({ coverFraction: 0.5, wettedFraction: fw }),
    },
    'soil exposed': {
      least: 0,
      most: 1,
      call: (few) => soilEvaporationCoefficient({ ...soil, exposedWettedFraction: few }),
    },
    'soil drying': {
      least: 0,
      most: 1,
      call: (kr) => soilEvaporationCoefficient({ ...soil, dryingFraction: kr }),
    },
    'hour gain': { least: -40, most: 90, call: (tempC) => hourGainCDays(tempC, BENTGRASS_PACE) },
    'pace base': { least: -5, most: 15, call: (baseTempC) => pace({ baseTempC }) },
    'pace none below': { least: -5, most: 20, call: (noneBelowC) => pace({ noneBelowC }) },
    salinity: { least: 0, most: 60, call: waterSalinityClass },
    'frost limit': { least: -5, most: 10, call: (limitC) => frostNotice({ hours: [], limitC }) },
  });
});

describe('what of growth has to be above 0', () => {
  holdAboveNothing({
    'heavy rain': (heavyMmPerH: number) =>
      heavyRainNotice({ hours: [], roomMm: 0, limits: { heavyMmPerH, leachingMm: 5 } }),
    leaching: (leachingMm: number) =>
      heavyRainNotice({ hours: [], roomMm: 0, limits: { heavyMmPerH: 7, leachingMm } }),
    area: (areaM2: number) =>
      seedOrder({ areaM2, rateKgPerM2: 0.01, seedsPerKg: [1, 2], passes: 1 }),
    pace: (leastCDays: number) => pace({ leastCDays }),
    'root tips': (rootTipsFraction: number) => pace({ rootTipsFraction }),
  });

  it('excess of damping-off begins at the loss itself', () => {
    const asked = { hours: [], waterMm: 0, lossMm: 0 };
    expect(() =>
      dampingOffNotice({ ...asked, limits: { warmC: 21, excessPct: 100 } }),
    ).not.toThrow();
    expect(() => dampingOffNotice({ ...asked, limits: { warmC: 21, excessPct: 99 } })).toThrow(
      RangeError,
    );
  });
});
