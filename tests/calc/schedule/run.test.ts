import { describe, expect, it } from 'vitest';
import { plainStore } from '../../../calc/sand/seedbed-store.ts';
import { stepGrid } from '../../../calc/schedule/demand.ts';
import { driftOverHours, windyOverHours } from '../../../calc/schedule/plan-weather.ts';
import { addEvenly, runWater, takenBack, waterToCome } from '../../../calc/schedule/run.ts';
import {
  bedParts,
  bedState,
  mapStations,
  stateOfStation,
  stationStates,
} from '../../../calc/schedule/station-states.ts';
import { NO_WATER_BELOW_C, nightParts } from '../../../calc/schedule/water-hours.ts';
import { driftLoss } from '../../../calc/sprinkler/drift-loss.ts';
import { smallDay } from '../../small-day.ts';

const run = { stationId: 'a', startMs: 60_000, runS: 100, netMm: 2 };

describe('the water of runs', () => {
  it('falls from the start of each to its end', () => {
    expect(runWater([run])).toEqual([
      { stationId: 'a', startMs: 60_000, endMs: 160_000, netMm: 2 },
    ]);
    expect(takenBack(runWater([run]))).toEqual([
      { stationId: 'a', startMs: 60_000, endMs: 160_000, netMm: -2 },
    ]);
  });

  it('is to come as far as it has not fallen', () => {
    expect(waterToCome([run], 0)).toEqual(runWater([run]));
    expect(waterToCome([run], 135_000)).toEqual([
      { stationId: 'a', startMs: 135_000, endMs: 160_000, netMm: 0.5 },
    ]);
    expect(waterToCome([run], 160_000)).toEqual([]);
  });

  it('is spread over the steps that it lasts, whole where the grid has them', () => {
    const grid = stepGrid(299_000, 900_001);
    expect(grid).toEqual({ startMs: 0, steps: 4 });
    expect(stepGrid(300_000, 300_000)).toEqual({ startMs: 300_000, steps: 0 });
    const spread = (startMin: number, endMin: number, netMm: number) => {
      const series = new Float64Array(grid.steps);
      addEvenly(series, grid, { startMs: startMin * 60_000, endMs: endMin * 60_000, netMm });
      return [...series].map((mm) => Math.round(mm * 1e6) / 1e6);
    };
    expect(spread(4, 8, 2)).toEqual([0.5, 1.5, 0, 0]);
    expect(spread(5, 10, 1)).toEqual([0, 1, 0, 0]);
    // What falls before the grid, or after it, is none of it.
    expect(spread(-5, 5, 1)).toEqual([0.5, 0, 0, 0]);
    expect(spread(15, 25, 1)).toEqual([0, 0, 0, 0.5]);
    expect(spread(22, 24, 1)).toEqual([0, 0, 0, 0]);
    expect(spread(6, 6, 1)).toEqual([0, 0, 0, 0]);
  });
});

describe('the states of stations', () => {
  const store = plainStore({ capacityMm: 1, feedMmPerH: 0 });
  const state = { 'storeMm@a': 0.4, 'storeMm@b': 0.7 };

  it('are kept apart where they differ and together where they do not', () => {
    expect(stationStates(state)).toEqual(
      new Map([
        ['a', { storeMm: 0.4 }],
        ['b', { storeMm: 0.7 }],
      ]),
    );
    expect(stationStates({ storeMm: 0.4 })).toEqual(new Map([['', { storeMm: 0.4 }]]));
    expect(bedState(stationStates(state))).toEqual(state);
    expect(mapStations(state, () => ({ storeMm: 0.1 }))).toEqual({ storeMm: 0.1 });
    expect(mapStations(state, (own, id) => (id === 'a' ? own : { storeMm: 0.2 }))).toEqual({
      'storeMm@a': 0.4,
      'storeMm@b': 0.2,
    });
  });

  it('are those of the driest for a station that is not known', () => {
    expect(stateOfStation(state, 'b', store)).toEqual({ storeMm: 0.7 });
    expect(stateOfStation(state, 'new', store)).toEqual({ storeMm: 0.4 });
    expect(stateOfStation({ storeMm: 0.3 }, 'new', store)).toEqual({ storeMm: 0.3 });
    expect(stateOfStation({}, 'new', store)).toEqual(store.full);
  });

  it('make one part of stations alike in rate and in moisture, the driest for all', () => {
    const [like] = smallDay({}).site.stations;
    if (like === undefined) throw new Error('the small day has stations');
    const stations = ['a', 'b', 'c', 'd'].map((id) => ({
      ...like,
      id,
      ...(id === 'd' ? { rotationS: like.rotationS + 1 } : {}),
    }));
    const states = { 'storeMm@a': 0.5, 'storeMm@b': 0.481, 'storeMm@c': 0.46, 'storeMm@d': 0.5 };
    expect(bedParts(stations, states, store)).toEqual([
      { stationIds: ['a', 'b'], state: { storeMm: 0.481 } },
      { stationIds: ['c'], state: { storeMm: 0.46 } },
      { stationIds: ['d'], state: { storeMm: 0.5 } },
    ]);
    expect(bedParts([], { storeMm: 0.5 }, store)).toEqual([
      { stationIds: [], state: { storeMm: 0.5 } },
    ]);
  });
});

describe('the air over the hours of a plan', () => {
  const { hours } = smallDay({ hour: (hour) => ({ windMPerS: hour === 7 ? 5 : 1 }) });
  const [first] = hours;
  if (first === undefined) throw new Error('the small day has hours');
  const atH = (hour: number) => first.startMs + (hour - 5) * 3_600_000;

  it('takes drift by day from sunrise to sunset, hour by hour', () => {
    const daylight = { startMs: atH(7), endMs: atH(9) };
    const drift = driftOverHours(hours, daylight);
    const of = (windMPerS: number, isDay: boolean) => {
      const hour = hours[2];
      if (hour === undefined) throw new Error('no third hour');
      return { windMPerS, isDay, airTempC: hour.airTempC };
    };
    for (const [hour, isDay] of [
      [6.9, false],
      [7, true],
      [7.99, true],
      [8.5, true],
      [9, false],
    ] as const) {
      const own = hours[Math.floor(hour) - 5];
      if (own === undefined) throw new Error(`no hour ${hour}`);
      const saturationKPa = 0.6108 * Math.exp((17.27 * own.airTempC) / (own.airTempC + 237.3));
      const relativeHumidityPct = (100 * own.vapourPressureKPa) / saturationKPa;
      const { lossFraction } = driftLoss({ ...of(own.windMPerS, isDay), relativeHumidityPct });
      expect(drift(atH(hour))).toBeCloseTo(lossFraction, 9);
    }
    expect(drift(atH(5) + 99 * 3_600_000)).toBe(0);
  });

  it('is windy in hours above the limit alone', () => {
    const windy = windyOverHours(hours, 4);
    expect([6.99, 7, 7.99, 8].map((hour) => windy(atH(hour)))).toEqual([false, true, true, false]);
    expect(windyOverHours(hours, 5)(atH(7))).toBe(false);
  });
});

it('no water goes on at or below 2 °C (common practice: 2 to 3)', () => {
  expect(NO_WATER_BELOW_C).toBe(2);
});

it('the late part of a night begins with sunset, or where there is none as the hours of water end', () => {
  const window = { firstStartMs: 30, lastEndMs: 70, nextFirstStartMs: 130 };
  const late = (firstRunMs: number, sunsetMs: number | null) =>
    nightParts({ firstRunMs, sunsetMs, nextDayStartMs: 100, window }).late;
  expect(late(5, 80)).toEqual({ startMs: 80, endMs: 100, untilMs: 130 });
  expect(late(5, 60).startMs).toBe(70);
  expect(late(5, null).startMs).toBe(70);
  expect(late(90, null).startMs).toBe(90);
  expect(nightParts({ firstRunMs: 5, sunsetMs: 80, nextDayStartMs: 100, window }).early).toEqual({
    startMs: 5,
    endMs: 30,
    untilMs: 30,
  });
});
