import fc from 'fast-check';
import { STAGE_NAMES, STAGES } from '../calc/growth/stages.ts';
import { bedStores } from '../calc/schedule/bed-stores.ts';
import type { DayPlanInput } from '../calc/schedule/plan-day.ts';
import type { Bed, KeepOff, Limits, Site, Station } from '../calc/schedule/site.ts';
import type { EtHour } from '../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;

const noModel = () => {
  throw new Error('every invented bed here has stated figures');
};

/** Midnight of an invented site day, UTC-7. */
export const DAY_START_MS = Date.parse('2026-07-01T00:00:00-07:00');

/** Random invented sites and days for properties of the planner: no number here was measured. */
export const randomDay: fc.Arbitrary<DayPlanInput> = fc
  .record({
    bedCount: fc.integer({ min: 1, max: 8 }),
    stationsPerBed: fc.integer({ min: 1, max: 4 }),
    rateMmPerH: fc.double({ min: 8, max: 25, noNaN: true }),
    capacityMm: fc.double({ min: 0.3, max: 4, noNaN: true }),
    feedMmPerH: fc.double({ min: 0, max: 0.3, noNaN: true }),
    peakMmPerH: fc.double({ min: 0, max: 1, noNaN: true }),
    windMPerS: fc.double({ min: 0, max: 9, noNaN: true }),
    rainMm: fc.constantFrom(0, 0, 0, 2, 12),
    pumpFactor: fc.double({ min: 1, max: 5, noNaN: true }),
    mains: fc.integer({ min: 0, max: 2 }),
    startGapS: fc.constantFrom(0, 5, 30),
    stationOrder: fc.constantFrom('together', 'in_turn'),
    pumpRiseLPerMin: fc.constantFrom(null, null, 150, 250),
    dayAllowanceL: fc.constantFrom(null, null, null, 20_000),
    runStepS: fc.constantFrom(1, 10, 60),
    rotationS: fc.integer({ min: 100, max: 240 }),
    restMin: fc.constantFrom(0, 15, 40),
    stage: fc.constantFrom(...STAGE_NAMES),
    startHour: fc.integer({ min: 3, max: 16 }),
    keepOffs: fc.array(
      fc.record({
        bed: fc.nat(7),
        fromHour: fc.double({ min: 5, max: 18, noNaN: true }),
        hours: fc.double({ min: 0.2, max: 4, noNaN: true }),
      }),
      { maxLength: 4 },
    ),
    pumpRestS: fc.constantFrom(0, 0, 120, 600),
    seasonLeftL: fc.constantFrom(null, null, null, 9_000),
  })
  .map((seed): DayPlanInput => {
    const beds = Array.from(
      { length: seed.bedCount },
      (_, index): Bed => ({
        id: `bed-${index + 1}`,
        name: `Bed ${index + 1} (invented)`,
        areaM2: 450,
        seededOn: '2026-06-26',
        stage: seed.stage,
        sand: {
          name: 'invented',
          basis: 'stated',
          stated: { capacityMm: seed.capacityMm * (1 + 0.1 * index), feedMmPerH: seed.feedMmPerH },
          className: 'medium_over_gravel',
          saturatedMmPerH: 350,
          lab: null,
        },
        embeddingMm: 0,
        slopePct: 2,
        exposureFraction: 0.8 + 0.05 * index,
        trimFraction: 1,
      }),
    );
    const flowLPerMin = 100;
    const stations = beds.flatMap((bed, bedIndex) =>
      Array.from(
        { length: seed.stationsPerBed },
        (_, index): Station => ({
          id: `${bed.id}-${index + 1}`,
          bedId: bed.id,
          flowLPerMin,
          precipitationRateMmPerH: seed.rateMmPerH,
          rateBasis: 'stated',
          rateMeasured: true,
          runTimeMultiplierFraction: 1,
          rotationS: seed.rotationS,
          mainId: seed.mains === 0 ? null : `main-${bedIndex % seed.mains}`,
          lateralId: null,
        }),
      ),
    );
    const cycleFlow = flowLPerMin * seed.stationsPerBed;
    const limits: Limits = {
      pumpFlowLPerMin: cycleFlow * seed.pumpFactor,
      mains: Array.from({ length: seed.mains }, (_, index) => ({
        id: `main-${index}`,
        flowLPerMin: cycleFlow * (1 + index),
      })),
      laterals: [],
      stationsAtOnce: Math.max(seed.stationsPerBed, 6),
      startGapS: seed.startGapS,
      leastRunS: 60,
      mostRunS: 1800,
      leastCycles: 0,
      runStepS: seed.runStepS,
      stationOrder: seed.stationOrder as Limits['stationOrder'],
      pumpRiseLPerMin: seed.pumpRiseLPerMin,
      pumpRestS: seed.pumpRestS,
      dayAllowanceL: seed.dayAllowanceL,
      seasonAllowanceL: seed.seasonLeftL === null ? null : 50_000 + seed.seasonLeftL,
      restMin: seed.restMin,
      firstAfterSunriseMin: 30,
      lastBeforeSunsetMin: 60,
      riskFraction: 0.05,
      windLimitMPerS: 4,
    };
    const site: Site = {
      id: 'random-site',
      name: 'Random Site (invented)',
      latitudeDeg: 38,
      longitudeDeg: -105,
      elevationM: 300,
      beds,
      stations,
      limits,
    };
    const startMs = DAY_START_MS + seed.startHour * HOUR_MS;
    const hours = Array.from({ length: 60 }, (_, index): EtHour => {
      const hourOfDay = index % 24;
      const sun = Math.max(0, Math.sin(((hourOfDay - 6) / 13) * Math.PI));
      const etMm = hourOfDay >= 6 && hourOfDay < 19 ? seed.peakMmPerH * sun : -0.005;
      return {
        startMs: DAY_START_MS + index * HOUR_MS,
        origin: 'forecast',
        airTempC: 18 + 12 * sun,
        vapourPressureKPa: 1.2,
        windMPerS: seed.windMPerS,
        solarMjPerM2: 3 * sun,
        rainMm: hourOfDay === 13 ? seed.rainMm : 0,
        filled: [],
        referenceEtMm: etMm,
        wetNightEtMm: etMm,
      };
    });
    const keepOffs = seed.keepOffs.flatMap((one): KeepOff[] => {
      const bed = beds[one.bed % beds.length];
      if (bed === undefined) return [];
      const keepOffStartMs = DAY_START_MS + Math.round(one.fromHour * 60) * 60_000;
      return [
        {
          bedId: bed.id,
          startMs: keepOffStartMs,
          endMs: keepOffStartMs + Math.round(one.hours * 60) * 60_000,
          why: 'roll',
        },
      ];
    });
    return {
      site,
      stages: STAGES,
      siteDay: '2026-07-01',
      revision: 1,
      madeAtMs: startMs,
      dayStartMs: DAY_START_MS,
      nextDayStartMs: DAY_START_MS + 24 * HOUR_MS,
      afterNextDayStartMs: DAY_START_MS + 48 * HOUR_MS,
      startMs,
      firstRunMs: startMs,
      kept: [],
      ranBefore: {
        dayL: seed.seasonLeftL === null ? 0 : 4_000,
        seasonL: 50_000,
        pumpStoppedMs: startMs - 30_000,
      },
      hours: hours.filter((hour) => hour.startMs >= startMs),
      weather: { source: 'invented', asOfMs: startMs },
      keepOffs,
      stores: bedStores(beds, STAGES, noModel),
      statesNow: new Map(),
      notes: [],
    };
  });
