import type { BedPlan, Cycle, DayPlan } from '../calc/schedule/day-plan.ts';
import type { Run } from '../calc/schedule/run.ts';
import type { SiteInUse } from '../daemon/site/gate/site-changes.ts';

const MIN_MS = 60_000;
const HOUR_MS = 3_600_000;

/** 05:00 at the invented site (UTC-7 in July), when its plan is made. */
export const EXAMPLE_MADE_AT_MS = Date.parse('2026-07-01T05:00:00-07:00');
export const EXAMPLE_ZONE = 'America/Los_Angeles';

interface ExampleBed {
  id: string;
  name: string;
  stationIds: string[];
  /** Minutes after the plan was made at which the cycles start. */
  startsMin: number[];
}

const BEDS: ExampleBed[] = [
  {
    id: 'bed-1',
    name: 'Bed One (invented)',
    stationIds: ['s-1a', 's-1b'],
    startsMin: [75, 285, 420],
  },
  { id: 'bed-2', name: 'Bed Two (invented)', stationIds: ['s-2a'], startsMin: [90, 300] },
  {
    id: 'bed-3',
    name: 'Bed Three (invented)',
    stationIds: ['s-3a', 's-3b'],
    startsMin: [105, 315],
  },
];

/** The invented site as its plans are made for it, and as it still is. */
export const EXAMPLE_SITE: SiteInUse = {
  siteId: 'example-site',
  zone: EXAMPLE_ZONE,
  bedIds: BEDS.map(({ id }) => id),
  stations: BEDS.flatMap(({ id, stationIds }) =>
    stationIds.map((stationId) => ({
      stationId,
      bedId: id,
      precipitationRateMmPerH: 18,
      rotationS: 120,
      flowLPerMin: 100,
    })),
  ),
};

/** An invented plan of an invented site: three beds, seven cycles. No number here was measured. */
export function examplePlan(change: Partial<DayPlan> = {}): DayPlan {
  const madeAtMs = change.madeAtMs ?? EXAMPLE_MADE_AT_MS;
  return {
    siteId: 'example-site',
    siteName: 'Example Site (invented)',
    madeFor: {
      zone: EXAMPLE_SITE.zone,
      bedIds: EXAMPLE_SITE.bedIds,
      stations: EXAMPLE_SITE.stations,
    },
    siteDay: '2026-07-01',
    revision: 2,
    madeAtMs,
    startMs: madeAtMs,
    firstRunMs: madeAtMs,
    endMs: madeAtMs + 19 * HOUR_MS,
    sunriseMs: madeAtMs + 48 * MIN_MS,
    sunsetMs: madeAtMs + 15 * HOUR_MS + 9 * MIN_MS,
    beds: BEDS.map((bed) => bedOf(bed, madeAtMs)),
    runs: BEDS.flatMap((bed) => runsOf(bed, madeAtMs)),
    shortages: [],
    warnings: [
      {
        code: 'weather_filled',
        bedId: null,
        field: 'vapourPressureKPa',
        how: 'dew_point_at_daily_low',
        hours: 24,
      },
      { code: 'rotation_unplaced', bedId: 'bed-2', who: 'B. Tester (invented)' },
    ],
    notices: [
      {
        code: 'wind',
        severity: 'note',
        inputs: { strongestMPerS: 5.5, hurtMPerS: 4, sharplyHurtMPerS: 6, windyHours: 3 },
        limits: {},
        fromMs: madeAtMs + 6 * HOUR_MS,
        toMs: madeAtMs + 9 * HOUR_MS,
        bedIds: [],
      },
    ],
    weather: {
      source: 'invented weather',
      asOfMs: madeAtMs - 20 * MIN_MS,
      hoursByOrigin: { observed: 5, forecast: 19, carried: 0, usual: 0 },
      filled: [{ field: 'vapourPressureKPa', how: 'dew_point_at_daily_low', hours: 24 }],
      referenceEtMm: 6.2,
      highC: 31.25,
      lowC: 14.5,
      windMaxMPerS: 5.5,
      rainMm: 0,
    },
    ...change,
  };
}

function cyclesOf(bed: ExampleBed, madeAtMs: number): Cycle[] {
  return bed.startsMin.map((startMin, i) => ({
    cycle: i + 1,
    startMs: madeAtMs + startMin * MIN_MS,
    endMs: madeAtMs + (startMin + 4) * MIN_MS,
    grossMm: 1.05,
    // The sum shows the last bit of binary arithmetic on purpose.
    netMm: 0.1 + 0.2 + 0.7,
    drainedMm: 0,
    rotations: 2,
    driftLossFraction: 1 / 21,
    reasons: [
      { code: 'store_at_reserve', atMs: madeAtMs + (startMin + 10) * MIN_MS },
      ...(i === 1
        ? [
            {
              code: 'before_keep_off' as const,
              why: 'roll, then "walk"',
              startMs: madeAtMs + (startMin + 6) * MIN_MS,
            },
          ]
        : []),
    ],
  }));
}

function runsOf(bed: ExampleBed, madeAtMs: number): Run[] {
  return cyclesOf(bed, madeAtMs).flatMap((cycle) =>
    bed.stationIds.map((stationId) => ({
      bedId: bed.id,
      stationId,
      startMs: cycle.startMs,
      runS: 240,
      rotations: cycle.rotations,
      grossMm: cycle.grossMm,
      netMm: cycle.netMm,
      cycle: cycle.cycle,
    })),
  );
}

function bedOf(bed: ExampleBed, madeAtMs: number): BedPlan {
  const cycles = cyclesOf(bed, madeAtMs);
  return {
    bedId: bed.id,
    name: bed.name,
    stage: 'germination',
    capacityMm: 1.5,
    state: { storeMm: 0.9 },
    reserveMm: 0.3,
    storeNowMm: 0.9,
    dryAtMs: madeAtMs + 4 * HOUR_MS,
    lossMm: 5.1,
    rainMm: 0,
    grossMm: 1.05 * cycles.length,
    netMm: cycles.length,
    drainedMm: 0,
    percentOfLoss: (100 * cycles.length) / 5.1,
    minutesBelowDryLimit: 0,
    lowestStoreMm: 0.3,
    lowestAtMs: madeAtMs + 5 * HOUR_MS,
    cycles,
    germination: null,
    expectedStore: { startMs: madeAtMs, stepMin: 5, storeMm: [0.9, 0.88, 1 / 3] },
  };
}
