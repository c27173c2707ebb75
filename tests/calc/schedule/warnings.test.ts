import { describe, expect, it } from 'vitest';
import { seasonWater, waterOfRuns } from '../../../calc/schedule/allowances.ts';
import type { BedPlan, PlanWeather, Shortage } from '../../../calc/schedule/day-plan.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { weatherOfPlan } from '../../../calc/schedule/plan-weather.ts';
import { planWarnings } from '../../../calc/schedule/warnings.ts';
import { smallDay } from '../../small-day.ts';

const HOUR_MS = 3_600_000;
const input = smallDay({});
const plan = planDay(input);
const [bed] = plan.beds;
if (bed === undefined) throw new Error('the small day has beds');
const quiet: PlanWeather = {
  ...plan.weather,
  hoursByOrigin: { observed: 24, forecast: 0, carried: 0, usual: 0 },
  filled: [],
};
/** Every rate measured, every sand known. */
const sure = {
  ...input.site,
  stations: input.site.stations.map((one) => ({ ...one, rateMeasured: true })),
};
const warned = (change: {
  beds?: BedPlan[];
  shortages?: Shortage[];
  weather?: Partial<PlanWeather>;
  site?: typeof sure;
}) =>
  planWarnings({
    site: change.site ?? sure,
    beds: change.beds ?? [],
    shortages: change.shortages ?? [],
    weather: { ...quiet, ...change.weather },
  });

describe('the warnings of a plan', () => {
  it('are none where nothing is short, lost or assumed', () => {
    expect(warned({})).toEqual([]);
  });

  it('point to each shortage by its bed and its beginning', () => {
    const short: Shortage = {
      bedId: bed.bedId,
      fromMs: 60_000,
      toMs: 120_000,
      minutesBelowReserve: 30,
      minutesBelowDryLimit: 0,
      lowestStoreMm: 0.1,
      cause: { kind: 'pump' },
      remedy: null,
    };
    expect(warned({ beds: [bed], shortages: [short] })[0]).toEqual({
      code: 'does_not_fit',
      bedId: bed.bedId,
      fromMs: 60_000,
    });
  });

  it('tell of drainage above 15 % of what is given', () => {
    const draining = (drainedMm: number) =>
      warned({ beds: [{ ...bed, cycles: [], stations: [], netMm: 2, drainedMm }] }).map(
        ({ code }) => code,
      );
    expect(draining(0.3)).toEqual([]);
    expect(draining(0.31)).toEqual(['drains']);
  });

  it('tell of stations of a bed that differ by more than a turn', () => {
    const [station] = bed.stations ?? [];
    if (station === undefined) throw new Error('a bed has stations');
    const differing = (leastMm: number) =>
      warned({
        beds: [
          {
            ...bed,
            cycles: [],
            drainedMm: 0,
            stations: [
              { ...station, stationId: 'a', netMm: 3, rotations: 5 },
              { ...station, stationId: 'b', netMm: leastMm, rotations: 6 },
            ],
          },
        ],
      });
    expect(differing(2.5)).toEqual([]);
    expect(differing(2.3)).toEqual([
      {
        code: 'stations_differ',
        bedId: bed.bedId,
        mostStationId: 'a',
        mostMm: 3,
        mostTurnMm: 0.6,
        leastStationId: 'b',
        leastMm: 2.3,
      },
    ]);
  });

  it('name the station that gives least and the one that gives most, in whatever order they stand', () => {
    const [station] = bed.stations ?? [];
    if (station === undefined) throw new Error('a bed has stations');
    const stations = [
      { ...station, stationId: 'middle', netMm: 3, rotations: 6 },
      { ...station, stationId: 'least', netMm: 1, rotations: 2 },
      { ...station, stationId: 'most', netMm: 4, rotations: 8 },
      { ...station, stationId: 'last', netMm: 2, rotations: 4 },
    ];
    expect(warned({ beds: [{ ...bed, cycles: [], drainedMm: 0, stations }] })).toMatchObject([
      { code: 'stations_differ', mostStationId: 'most', leastStationId: 'least' },
    ]);
  });

  it('measure that turn by stations of a single turn as well', () => {
    const [station] = bed.stations ?? [];
    if (station === undefined) throw new Error('a bed has stations');
    const stations = [
      { ...station, stationId: 'a', netMm: 2, rotations: 1 },
      { ...station, stationId: 'b', netMm: 0.5, rotations: 2 },
    ];
    // One turn of the first brings 2 mm: a difference of 1.5 is within it.
    expect(warned({ beds: [{ ...bed, cycles: [], drainedMm: 0, stations }] })).toEqual([]);
  });

  it('tell of weather that stands in, and of what was filled', () => {
    const hoursByOrigin = { observed: 0, forecast: 0, carried: 3, usual: 1 };
    const filled = [{ field: 'windMPerS' as const, how: 'usual_wind' as const, hours: 2 }];
    expect(warned({ weather: { hoursByOrigin, filled } })).toEqual([
      { code: 'weather_carried', bedId: null, hours: 3 },
      { code: 'weather_usual', bedId: null, hours: 1 },
      { code: 'weather_filled', bedId: null, field: 'windMPerS', how: 'usual_wind', hours: 2 },
    ]);
  });

  it('tell how many rates and sands are assumed', () => {
    const [first, ...others] = sure.stations;
    const [firstBed, ...otherBeds] = sure.beds;
    if (first === undefined || firstBed === undefined) throw new Error('the small day has beds');
    const site = {
      ...sure,
      stations: [{ ...first, rateMeasured: false }, ...others],
      beds: [
        { ...firstBed, sand: { ...firstBed.sand, basis: 'class_default' as const } },
        ...otherBeds,
      ],
    };
    expect(warned({ site })).toEqual([
      { code: 'rate_assumed', bedId: null, assumed: 1, stations: 2 },
      { code: 'sand_assumed', bedId: null, assumed: 1, beds: 2 },
    ]);
  });
});

describe('the weather that a plan rests on', () => {
  it('is summed up from its hours', () => {
    const { hours } = input;
    const own = hours.slice(0, 4).map((hour, index) => ({
      ...hour,
      startMs: index * HOUR_MS,
      origin: (['observed', 'carried', 'usual', 'forecast'] as const)[index] ?? hour.origin,
      airTempC: [12, 25, 19, 20][index] ?? 0,
      windMPerS: [1, 6, 2, 3][index] ?? 0,
      rainMm: [0, 1, 0.5, 0][index] ?? 0,
      referenceEtMm: [0.1, 0.2, 0.3, 0.4][index] ?? 0,
      told: { source: index === 3 ? 'model' : 'station', asOfMs: 5 },
      filled: index < 2 ? [{ field: 'rainMm' as const, how: 'no_rain' as const }] : [],
    }));
    const summed = weatherOfPlan({ hours: own, startMs: 2 * HOUR_MS, source: 'x', asOfMs: 7 });
    expect(summed).toMatchObject({
      source: 'x',
      asOfMs: 7,
      hoursByOrigin: { observed: 1, forecast: 1, carried: 1, usual: 1 },
      filled: [{ field: 'rainMm', how: 'no_rain', hours: 2 }],
      highC: 25,
      lowC: 12,
      windMaxMPerS: 6,
      rainMm: 1.5,
      // The carried hour is over as the plan starts.
      standInH: 1,
    });
    expect(summed.referenceEtMm).toBeCloseTo(1, 12);
    expect(summed.shares?.map(({ source, origin, hours: h }) => [source, origin, h])).toEqual([
      ['station', 'observed', 1],
      ['station', 'carried', 1],
      ['station', 'usual', 1],
      ['model', 'forecast', 1],
    ]);
    const late = weatherOfPlan({ hours: own, startMs: 3 * HOUR_MS, source: 'x', asOfMs: 7 });
    expect(late.standInH).toBeUndefined();
  });
});

describe('the water of the season', () => {
  const { stations } = input.site;
  const run = (stationId: string, startMs: number, runS: number) => ({
    ...{ bedId: 'bed-1', stationId, startMs, runS, rotations: 1 },
    ...{ grossMm: 1, netMm: 1, cycle: 1 },
  });
  const [a = '', b = ''] = stations.map(({ id }) => id);

  it('is the flow of each station over its seconds', () => {
    // 100 L/min each.
    expect(waterOfRuns({ stations }, [run(a, 0, 90), run(b, 0, 30), run('gone', 0, 60)])).toBe(200);
  });

  it('counts what was used, what is planned and what stands, each once', () => {
    const site = { ...input.site, limits: { ...input.site.limits, seasonAllowanceL: 1000 } };
    const depths = { grossMm: 2, netMm: 2, rotations: 2, driftLossFraction: 0 };
    const kept = [
      { bedId: 'bed-1', startMs: 0, endMs: 1, ...depths, runs: [run(a, 0, 60), run(a, 9, 60)] },
    ];
    const ranBefore = { dayL: 10, seasonL: 300, pumpStoppedMs: null };
    const runs = [run(a, 9, 60), run(b, 20, 30)];
    expect(seasonWater(site, runs, { kept, ranBefore })).toEqual({
      seasonWater: { allowedL: 1000, usedL: 300, plannedL: 250, leftL: 450 },
    });
    expect(seasonWater(site, [], { kept: [] })).toEqual({
      seasonWater: { allowedL: 1000, usedL: 0, plannedL: 0, leftL: 1000 },
    });
    expect(seasonWater(input.site, runs, { kept: [], ranBefore })).toEqual({});
  });
});
