import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  aerodynamicResistanceSPerM,
  BARE_SAND,
  seedbedTemperatureC,
  surfaceTemperature,
} from '../../../calc/sand/surface-temperature.ts';

const bare = {
  windMPerS: 2,
  windHeightM: 2,
  airHeightM: 2,
  displacementM: 0,
  momentumRoughnessM: 0.005,
  heatRoughnessM: 0.0005,
};

test('Allen et al. 1998, FAO-56, Box 4: grass of 0.12 m gives ra = 208 / u2', () => {
  const momentumRoughnessM = 0.123 * 0.12;
  const grass = {
    windHeightM: 2,
    airHeightM: 2,
    displacementM: (2 / 3) * 0.12,
    momentumRoughnessM,
    heatRoughnessM: 0.1 * momentumRoughnessM,
  };
  expect(Math.round(aerodynamicResistanceSPerM({ ...grass, windMPerS: 1 }))).toBe(208);
  // Independent recomputation.
  expect(aerodynamicResistanceSPerM({ ...grass, windMPerS: 1 })).toBeCloseTo(207.66, 2);
  expect(4 * aerodynamicResistanceSPerM({ ...grass, windMPerS: 4 })).toBeCloseTo(207.66, 2);
});

/** Bare surface at 2 m/s: independent recomputation, one decimal. */
const resistances = [
  [0.001, 1, 171.8],
  [0.005, 1, 106.8],
  [0.01, 1, 83.5],
  [0.001, 0.1, 223.9],
  [0.005, 0.1, 147.8],
  [0.01, 0.1, 119.8],
] as const;

test('the table of bare resistances is whole', () => {
  expect(resistances).toHaveLength(6);
});

test.each(resistances)(
  'bare roughness %f m, heat ratio %f: %f s/m (independent recomputation)',
  (momentumRoughnessM, ratio, sPerM) => {
    const ra = aerodynamicResistanceSPerM({
      ...bare,
      momentumRoughnessM,
      heatRoughnessM: ratio * momentumRoughnessM,
    });
    expect(Math.abs(ra - sPerM)).toBeLessThanOrEqual(0.05 + 1e-9);
  },
);

const noon = { airTempC: 30, vapourPressureKPa: 0.4 * 4.243, windMPerS: 2, solarWPerM2: 800 };

test('dry and saturated bare sand at noon (independent recomputation, whole W/m² and 0.1 °C)', () => {
  const dry = surfaceTemperature({ weather: noon, wetness: { wetnessFraction: 0 } });
  expect(Math.abs(dry.surfaceTempC - 57.1)).toBeLessThanOrEqual(0.05);
  expect(Math.abs(dry.netRadiationWPerM2 - 333)).toBeLessThanOrEqual(0.5);
  expect(Math.abs(dry.groundHeatWPerM2 - 116)).toBeLessThanOrEqual(0.5);
  expect(Math.abs(dry.sensibleHeatWPerM2 - 216)).toBeLessThanOrEqual(0.5);
  expect(dry.latentHeatWPerM2).toBe(0);

  const wet = surfaceTemperature({ weather: noon, wetness: { wetnessFraction: 1 } });
  expect(Math.abs(wet.surfaceTempC - 32.1)).toBeLessThanOrEqual(0.05);
  expect(Math.abs(wet.netRadiationWPerM2 - 586)).toBeLessThanOrEqual(0.5);
  expect(Math.abs(wet.groundHeatWPerM2 - 205)).toBeLessThanOrEqual(0.5);
  expect(Math.abs(wet.sensibleHeatWPerM2 - 17)).toBeLessThanOrEqual(0.5);
  expect(Math.abs(wet.latentHeatWPerM2 - 364)).toBeLessThanOrEqual(0.5);
});

const weathers = fc.record({
  airTempC: fc.double({ min: -40, max: 55, noNaN: true }),
  vapourPressureKPa: fc.double({ min: 0.001, max: 12, noNaN: true }),
  windMPerS: fc.double({ min: 0, max: 60, noNaN: true }),
  solarWPerM2: fc.double({ min: 0, max: 1400, noNaN: true }),
});
const wetnesses = fc.record({ wetnessFraction: fc.double({ min: 0, max: 1, noNaN: true }) });

test('the balance closes for every admitted weather, and the temperature stays bounded', () => {
  fc.assert(
    fc.property(weathers, wetnesses, (weather, wetness) => {
      const balance = surfaceTemperature({ weather, wetness });
      expect(Math.abs(balance.residualWPerM2)).toBeLessThan(0.1);
      expect(balance.surfaceTempC).toBeGreaterThan(weather.airTempC - 80);
      expect(balance.surfaceTempC).toBeLessThan(weather.airTempC + 160);
    }),
    { seed: 31, numRuns: 300 },
  );
});

test('more sun warms, and evaporation cools', () => {
  const warmDay = fc.record({
    airTempC: fc.double({ min: 5, max: 42, noNaN: true }),
    vapourPressureKPa: fc.double({ min: 0.2, max: 0.8, noNaN: true }),
    windMPerS: fc.double({ min: 0, max: 12, noNaN: true }),
    solarWPerM2: fc.double({ min: 300, max: 900, noNaN: true }),
  });
  fc.assert(
    fc.property(warmDay, wetnesses, (weather, wetness) => {
      const at = (solarWPerM2: number, rateMmPerH?: number) =>
        surfaceTemperature({
          weather: { ...weather, solarWPerM2 },
          wetness:
            rateMmPerH === undefined ? wetness : { ...wetness, evaporationMmPerH: rateMmPerH },
        }).surfaceTempC;
      const here = at(weather.solarWPerM2);
      expect(at(weather.solarWPerM2 + 100)).toBeGreaterThan(here);
      expect(at(weather.solarWPerM2, 0.1)).toBeGreaterThanOrEqual(here - 1e-9);
      expect(at(weather.solarWPerM2, 0)).toBeGreaterThanOrEqual(
        at(weather.solarWPerM2, 0.1) - 1e-9,
      );
    }),
    { seed: 32, numRuns: 200 },
  );
});

test('an evaporation that is given takes its latent heat (1 mm/h is 680.6 W/m²)', () => {
  const balance = surfaceTemperature({
    weather: noon,
    wetness: { wetnessFraction: 1, evaporationMmPerH: 0.3 },
  });
  expect(balance.latentHeatWPerM2).toBeCloseTo((0.3 * 2.45e6) / 3600, 6);
});

test('an hour of 2.88 MJ/m² is 800 W/m²', () => {
  const hour = {
    startMs: 0,
    origin: 'observed' as const,
    airTempC: 30,
    vapourPressureKPa: noon.vapourPressureKPa,
    windMPerS: 2,
    solarMjPerM2: 2.88,
    rainMm: 0,
    filled: [],
  };
  const wetness = { wetnessFraction: 1 };
  expect(seedbedTemperatureC({ hour, wetness, elevationM: 0 })).toBeCloseTo(
    surfaceTemperature({ weather: noon, wetness, surface: BARE_SAND }).surfaceTempC,
    10,
  );
});

test('refuses what cannot be', () => {
  const wetness = { wetnessFraction: 1.2 };
  expect(() => surfaceTemperature({ weather: noon, wetness })).toThrow(
    /surfaceTemperature\.wetnessFraction: .*got 1\.2/,
  );
  expect(() => aerodynamicResistanceSPerM({ ...bare, windMPerS: 0 })).toThrow(RangeError);
  expect(() => aerodynamicResistanceSPerM({ ...bare, windHeightM: 0.004 })).toThrow(RangeError);
});
