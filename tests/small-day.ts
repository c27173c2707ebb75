import fc from 'fast-check';
import { STAGES, type StageName } from '../calc/growth/stages.ts';
import { bedStores } from '../calc/schedule/bed-stores.ts';
import type { DayPlanInput } from '../calc/schedule/plan-day.ts';
import type { Bed, Station } from '../calc/schedule/site.ts';
import type { EtHour } from '../calc/sky/weather-hour.ts';
import { randomDay } from './random-site.ts';

const HOUR_MS = 3_600_000;
/** Midnight of the invented site day, UTC-7; the plan is made at 05:00. */
export const SMALL_DAY_MS = Date.parse('2026-07-01T00:00:00-07:00');

/** An invented station: 0.6 mm in a turn of two minutes. */
export function smallStation(id: string, change: Partial<Station> = {}): Station {
  return {
    id,
    bedId: 'bed',
    flowLPerMin: 100,
    precipitationRateMmPerH: 18,
    rateBasis: 'stated',
    rateMeasured: true,
    runTimeMultiplierFraction: 1,
    rotationS: 120,
    mainId: null,
    lateralId: null,
    ...change,
  };
}

/** An invented day of two beds with one station each and water enough. No number was measured. */
export function smallDay(given: {
  stages?: [StageName, StageName];
  capacityMm?: number;
  /** Change of the hour so many hours after midnight. */
  hour?: (hour: number) => Partial<EtHour>;
}): DayPlanInput {
  const { stages = ['germination', 'germination'], capacityMm = 1.5, hour = () => ({}) } = given;
  const [base] = fc.sample(randomDay, { seed: 1, numRuns: 1 });
  if (base === undefined) throw new Error('no random day to start from');
  const beds = stages.map(
    (stage, index): Bed => ({
      id: `bed-${index + 1}`,
      name: `Bed ${index + 1} (invented)`,
      areaM2: 450,
      seededOn: '2026-06-26',
      stage,
      sand: {
        name: 'invented',
        basis: 'stated',
        stated: { capacityMm, feedMmPerH: 0 },
        className: 'medium_over_gravel',
        saturatedMmPerH: 350,
        lab: null,
      },
      embeddingMm: 0,
      slopePct: 2,
      exposureFraction: 1,
      trimFraction: 1,
    }),
  );
  const stations = beds.map((bed) => smallStation(`${bed.id}-a`, { bedId: bed.id }));
  const hours = Array.from({ length: 60 }, (_, index): EtHour => {
    const sun = Math.max(0, Math.sin((((index % 24) - 6) / 13) * Math.PI));
    return {
      startMs: SMALL_DAY_MS + index * HOUR_MS,
      origin: 'forecast',
      airTempC: 16 + 8 * sun,
      vapourPressureKPa: 1.2,
      windMPerS: 2,
      solarMjPerM2: 2.5 * sun,
      rainMm: 0,
      filled: [],
      referenceEtMm: 0.5 * sun,
      wetNightEtMm: 0.5 * sun,
      ...hour(index),
    };
  });
  const startMs = SMALL_DAY_MS + 5 * HOUR_MS;
  return {
    ...base,
    site: {
      ...base.site,
      beds,
      stations,
      limits: {
        ...base.site.limits,
        pumpFlowLPerMin: 400,
        mains: [],
        stationsAtOnce: 4,
        startGapS: 5,
        pumpRestS: 0,
        seasonAllowanceL: null,
        restMin: 30,
        lastBeforeSunsetMin: 90,
      },
    },
    madeAtMs: startMs,
    startMs,
    firstRunMs: startMs,
    hours: hours.filter((one) => one.startMs >= startMs),
    hoursBefore: hours.filter((one) => one.startMs < startMs),
    keepOffs: [],
    ranBefore: { dayL: 0, seasonL: 0, pumpStoppedMs: null },
    stores: bedStores(beds, STAGES, () => {
      throw new Error('every invented bed here has stated figures');
    }),
  };
}
