import { describe, expect, it } from 'vitest';
import type { Run } from '../../../calc/schedule/run.ts';
import { countedRuns, firstLearnedSince } from '../../../daemon/planning/applied-water.ts';
import {
  type ActualRun,
  DEFAULT_FIELD_RULE,
  type RanReport,
  RUN_STATES,
  type RunState,
  type RunStateName,
} from '../../../daemon/site/store/run-state.ts';
import { smallDay } from '../../small-day.ts';

const { site } = smallDay({});

/** Stations of the invented day give 100 L/min and 18 mm/h. */
const run: Run = {
  bedId: 'bed-1',
  stationId: 'bed-1-a',
  startMs: 1_000_000,
  runS: 240,
  rotations: 2,
  grossMm: 1.2,
  netMm: 1.1,
  cycle: 1,
};

const state = (name: RunStateName, actual: Partial<ActualRun> | null = null): RunState => ({
  run,
  siteDay: '2026-07-01',
  revision: 1,
  state: name,
  withoutReport: name,
  outputs: [],
  actual:
    actual === null
      ? null
      : {
          output: 'mqtt',
          startMs: 1_010_000,
          runS: 240,
          flowLPerMin: null,
          atMs: 1_300_000,
          ...actual,
        },
});

const counted = (runs: RunState[], strays: RanReport[] = [], nowMs = 9_000_000) =>
  countedRuns(
    { runs, strays },
    { fromMs: 0, nowMs, site, rule: DEFAULT_FIELD_RULE, driftAt: () => 0.1 },
  );

describe('countedRuns', () => {
  it.each([
    ['planned', 1.1],
    ['sent', 1.1],
    ['accepted', 1.1],
    ['assumed', 1.1],
    ['unknown', 1.1],
    ['rejected', 0],
    ['missing', 0],
    ['withdrawn', 0],
    ['missed', 0],
  ] as const)('counts a run that is %s as %d mm', (name, netMm) => {
    const sum = counted([state(name)]).reduce((all, one) => all + one.netMm, 0);
    expect(sum).toBe(netMm);
  });

  it('has a rule for every state', () => {
    expect(RUN_STATES).toHaveLength(9 + 1);
  });

  it.each([
    ['as planned', {}, 1.1, 240],
    ['cut short', { runS: 120 }, 0.55, 120],
    ['ran on', { runS: 480 }, 2.2, 480],
    ['flow within the tolerance', { flowLPerMin: 80 }, 1.1, 240],
    ['flow below it', { flowLPerMin: 50 }, 0.55, 240],
    ['flow above it', { flowLPerMin: 200 }, 1.1, 240],
  ])('counts what is reported: %s', (_, actual, netMm, runS) => {
    const [one] = counted([state('ran', actual)]);
    expect(one?.netMm).toBeCloseTo(netMm, 9);
    expect(one).toMatchObject({ runS, startMs: run.startMs });
  });

  it('counts nothing of a valve that did not open', () => {
    expect(counted([state('ran', { runS: 0 })])).toEqual([]);
  });

  it('counts water that nobody asked for, by the rate of its station', () => {
    const stray: RanReport = {
      kind: 'ran',
      output: 'mqtt',
      stationId: 'bed-2-a',
      startMs: 2_000_000,
      runS: 200,
      flowLPerMin: null,
      atMs: 2_300_000,
    };
    const [one, ...more] = counted([], [stray, { ...stray, stationId: 'nobody' }]);
    expect(more).toEqual([]);
    expect(one).toMatchObject({ bedId: 'bed-2', grossMm: 1 });
    expect(one?.netMm).toBeCloseTo(0.9, 9);
  });

  it('leaves out what is over before and what has not begun', () => {
    expect(counted([state('sent')], [], 900_000)).toEqual([]);
    const before = { runs: [state('sent')], strays: [] };
    const rule = DEFAULT_FIELD_RULE;
    const given = { nowMs: 9_000_000, site, rule, driftAt: () => 0 };
    expect(countedRuns(before, { ...given, fromMs: 1_240_000 })).toEqual([]);
    expect(countedRuns(before, { ...given, fromMs: 1_239_999 })).toHaveLength(1);
  });
});

describe('firstLearnedSince', () => {
  const since = (runs: RunState[], madeAtMs: number) =>
    firstLearnedSince({ runs, strays: [] }, madeAtMs, { lateMs: 600_000 });

  it.each([
    ['a report that came before the plan', state('ran', {}), 1_300_000, null],
    ['a report that came after it', state('ran', {}), 1_299_999, 1_000_000],
    ['a run known to be missing by then', state('missing'), 1_840_000, null],
    ['a run that went missing after it', state('missing'), 1_839_999, 1_000_000],
    ['a run that is only assumed', state('assumed'), 0, null],
  ])('%s', (_, one, madeAtMs, learned) => {
    expect(since([one], madeAtMs)).toBe(learned);
  });
});
