import { STAGES } from '../../calc/growth/stages.ts';
import { bedStores } from '../../calc/schedule/bed-stores.ts';
import type { DayPlanInput } from '../../calc/schedule/plan-day.ts';
import type { Bed, Station } from '../../calc/schedule/site.ts';
import type { EtHour } from '../../calc/sky/weather-hour.ts';

const HOUR_MS = 3_600_000;

const noModel = () => {
  throw new Error('every invented bed here has stated figures');
};

const DAY_START_MS = Date.parse('2026-07-01T00:00:00-07:00');
const CAPACITIES_MM = [0.8, 1.2, 1.6];

/** An invented site of many beds, four stations each, on an invented hot day. */
export function bigSite(bedCount: number): DayPlanInput {
  const beds = Array.from(
    { length: bedCount },
    (_, index): Bed => ({
      id: `green-${index + 1}`,
      name: `Green ${index + 1} (invented)`,
      areaM2: 480,
      seededOn: '2026-06-25',
      stage: index % 3 === 2 ? 'emergence' : 'germination',
      sand: {
        name: 'invented',
        basis: 'stated',
        stated: { capacityMm: CAPACITIES_MM[index % 3] ?? 1, feedMmPerH: 0.05 },
        className: 'medium_over_gravel',
        saturatedMmPerH: 350,
        lab: null,
      },
      embeddingMm: 0,
      slopePct: 2,
      exposureFraction: 1 + 0.02 * (index % 5),
      trimFraction: 1,
    }),
  );
  const mainCount = Math.max(2, Math.ceil(bedCount / 9));
  const stations = beds.flatMap((bed, bedIndex) =>
    [1, 2, 3, 4].map(
      (number): Station => ({
        id: `${bed.id}-${number}`,
        bedId: bed.id,
        flowLPerMin: 104,
        precipitationRateMmPerH: 18,
        rateBasis: 'nozzle',
        rateMeasured: false,
        runTimeMultiplierFraction: 1,
        rotationS: 150,
        mainId: `main-${bedIndex % mainCount}`,
        lateralId: null,
      }),
    ),
  );
  const startMs = DAY_START_MS + 5 * HOUR_MS;
  const hours = Array.from({ length: 50 }, (_, index): EtHour => {
    const hourOfDay = index % 24;
    const sun = Math.max(0, Math.sin(((hourOfDay - 6) / 13) * Math.PI));
    const etMm = hourOfDay >= 6 && hourOfDay < 19 ? 0.75 * sun : 0;
    return {
      startMs: DAY_START_MS + index * HOUR_MS,
      origin: 'forecast',
      airTempC: 18 + 14 * sun,
      vapourPressureKPa: 1.2,
      windMPerS: 3,
      solarMjPerM2: 3 * sun,
      rainMm: 0,
      filled: [],
      referenceEtMm: etMm,
      wetNightEtMm: etMm,
    };
  });
  return {
    site: {
      id: 'bench-site',
      name: 'Bench Site (invented)',
      latitudeDeg: 38,
      longitudeDeg: -105,
      elevationM: 300,
      beds,
      stations,
      limits: {
        pumpFlowLPerMin: 190 * bedCount,
        mains: Array.from({ length: mainCount }, (_, index) => ({
          id: `main-${index}`,
          flowLPerMin: 2000,
        })),
        laterals: [],
        stationsAtOnce: Math.max(8, bedCount * 2),
        startGapS: bedCount > 60 ? 0 : 5,
        leastRunS: 60,
        mostRunS: 1800,
        leastCycles: 0,
        runStepS: 1,
        stationOrder: 'together',
        pumpRiseLPerMin: null,
        pumpRestS: 0,
        dayAllowanceL: null,
        seasonAllowanceL: null,
        restMin: 20,
        firstAfterSunriseMin: 30,
        lastBeforeSunsetMin: 60,
        riskFraction: 0.05,
        windLimitMPerS: 4,
      },
    },
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
    hours: hours.filter((hour) => hour.startMs >= startMs),
    weather: { source: 'invented', asOfMs: startMs },
    keepOffs: [],
    stores: bedStores(beds, STAGES, noModel),
    statesNow: new Map(),
    notes: [],
  };
}

/** The same day with beds that all lose and hold the same: they come due together. */
export function identicalBeds(bedCount: number): DayPlanInput {
  const input = bigSite(bedCount);
  const beds = input.site.beds.map(
    (bed): Bed => ({
      ...bed,
      stage: 'germination',
      embeddingMm: 0,
      slopePct: 2,
      exposureFraction: 1,
      sand: { ...bed.sand, stated: { capacityMm: 1.4, feedMmPerH: 0.05 } },
    }),
  );
  return {
    ...input,
    site: { ...input.site, beds },
    stores: bedStores(beds, STAGES, noModel),
  };
}
