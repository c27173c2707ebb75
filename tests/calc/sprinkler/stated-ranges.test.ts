import { describe, expect, it } from 'vitest';
import { floodedInfiltrationMm } from '../../../calc/sand/infiltration.ts';
import {
  aerodynamicResistanceSPerM,
  surfaceTemperature,
} from '../../../calc/sand/surface-temperature.ts';
import { DRIFT_RANGE, driftLoss } from '../../../calc/sprinkler/drift-loss.ts';
import { rateFromNozzle } from '../../../calc/sprinkler/precipitation-rate.ts';
import { holdAboveNothing, holdToRanges } from '../../stated-range.ts';

const weather = { airTempC: 20, vapourPressureKPa: 1, windMPerS: 2, solarWPerM2: 500 };
const wet = { wetnessFraction: 1 };

describe('the ranges of sand and heads', () => {
  holdToRanges({
    'surface air': {
      least: -40,
      most: 55,
      call: (airTempC) => surfaceTemperature({ weather: { ...weather, airTempC }, wetness: wet }),
    },
    'surface vapour': {
      least: 0.001,
      most: 12,
      call: (vapourPressureKPa) =>
        surfaceTemperature({ weather: { ...weather, vapourPressureKPa }, wetness: wet }),
    },
    'surface wind': {
      least: 0,
      most: 60,
      call: (windMPerS) => surfaceTemperature({ weather: { ...weather, windMPerS }, wetness: wet }),
    },
    'surface sun': {
      least: 0,
      most: 1400,
      call: (solarWPerM2) =>
        surfaceTemperature({ weather: { ...weather, solarWPerM2 }, wetness: wet }),
    },
    'surface wetness': {
      least: 0,
      most: 1,
      call: (wetnessFraction) => surfaceTemperature({ weather, wetness: { wetnessFraction } }),
    },
    'drift humidity': {
      least: 0,
      most: 100,
      call: (relativeHumidityPct) => driftLoss({ windMPerS: 2, relativeHumidityPct, isDay: true }),
    },
    'drift air': {
      least: -60,
      most: 60,
      call: (airTempC) =>
        driftLoss({ windMPerS: 2, relativeHumidityPct: 50, airTempC, isDay: true }),
    },
    arc: {
      least: 1,
      most: 360,
      call: (arcDeg) =>
        rateFromNozzle({ flowLPerMin: 100, headSpacingM: 18, rowSpacingM: 18, arcDeg }),
      isOpenBelow: true,
    },
    'moisture deficit': {
      least: 0,
      most: 1,
      call: (deficitFraction) =>
        floodedInfiltrationMm({ conductivityMmPerH: 100, suctionMm: 50, deficitFraction }, 1),
    },
  });
});

describe('what of sand and heads has to be above 0', () => {
  holdAboveNothing({
    flow: (flowLPerMin: number) => rateFromNozzle({ flowLPerMin, headSpacingM: 9, rowSpacingM: 9 }),
    heads: (m: number) => rateFromNozzle({ flowLPerMin: 9, headSpacingM: m, rowSpacingM: 9 }),
    rows: (m: number) => rateFromNozzle({ flowLPerMin: 9, headSpacingM: 9, rowSpacingM: m }),
    arc: (arcDeg: number) =>
      rateFromNozzle({ flowLPerMin: 9, headSpacingM: 9, rowSpacingM: 9, arcDeg }),
    roughness: (momentumRoughnessM: number) =>
      aerodynamicResistanceSPerM({
        windMPerS: 2,
        windHeightM: 2,
        airHeightM: 2,
        displacementM: 0,
        momentumRoughnessM,
        heatRoughnessM: 0.001,
      }),
  });
});

it('drift is held at the edges of the trials (from memory, approximate)', () => {
  expect(DRIFT_RANGE).toEqual({
    windMPerS: [0.5, 7],
    relativeHumidityPct: [25, 95],
    airTempC: [8, 38],
  });
});
