import { describe, expect, it } from 'vitest';
import type { SiteDay } from '../../../adapters/site-clock.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import { seasonStart, waterBefore } from '../../../daemon/planning/applied-water.ts';
import { seasonNotes, withNotes } from '../../../daemon/planning/propose-plan.ts';
import { examplePlan } from '../../example-plan.ts';
import { toldOf } from '../../reader.ts';
import { smallDay } from '../../small-day.ts';

const { site } = smallDay({});
const run = (startMs: number, runS: number): Run => ({
  bedId: 'bed-1',
  stationId: 'bed-1-a',
  startMs,
  runS,
  rotations: 1,
  grossMm: 1,
  netMm: 1,
  cycle: 1,
});

describe('waterBefore', () => {
  it('sums flow over seconds, of the day and of the season', () => {
    // 100 L/min: 60 s are 100 L.
    const applied = [run(-500, 60), run(100, 120)];
    const before = waterBefore({ site, dayStartMs: 0, applied, byHand: [], kept: [] });
    expect(before).toMatchObject({ dayL: 200, seasonL: 300, pumpStoppedMs: 120_100 });
  });

  it('leaves runs of kept cycles to the plan', () => {
    const applied = [run(50, 60), run(100, 120)];
    const kept = [
      {
        bedId: 'bed-1',
        startMs: 100,
        endMs: 220_100,
        grossMm: 1,
        netMm: 1,
        rotations: 1,
        driftLossFraction: 0,
        runs: [run(100, 120)],
      },
    ];
    const before = waterBefore({ site, dayStartMs: 0, applied, byHand: [], kept });
    expect(before.dayL).toBe(100);
  });

  it('counts what persons gave: a station by its flow, a hose by depth and area', () => {
    const byHand = [
      { bedId: 'bed-1', stationId: 'bed-1-a', startMs: 10, runS: 30, grossMm: 9 },
      { bedId: 'bed-2', stationId: null, startMs: -10, runS: 600, grossMm: 2 },
    ];
    const before = waterBefore({ site, dayStartMs: 0, applied: [], byHand, kept: [] });
    expect(before).toMatchObject({ dayL: 50, seasonL: 50 + 900, pumpStoppedMs: null });
  });
});

describe('seasonStart', () => {
  it.each([
    ['2026-03-31', '04-01', '2025-04-01'],
    ['2026-04-01', '04-01', '2026-04-01'],
    ['2026-12-31', '01-01', '2026-01-01'],
  ])('of %s from %s is %s', (day, from, start) => {
    expect(seasonStart(day as SiteDay, from)).toBe(start);
  });

  it('refuses a day that not every year has', () => {
    expect(() => seasonStart('2026-04-01' as SiteDay, '02-30')).toThrow(/write it like 04-01/);
  });
});

describe('seasonNotes', () => {
  const seasonWater = { allowedL: 900, usedL: 300, plannedL: 200, leftL: 400 };

  it('says what is used, planned and left', () => {
    const plan = examplePlan({ seasonWater });
    const told = withNotes(plan, seasonNotes(plan, '2026-04-01'));
    expect(toldOf(told, 'season_allowance')).toEqual([
      'Season allowance of 900 L since 2026-04-01: 300 L used, 200 L planned here, 400 L left after it.',
    ]);
  });

  it('says by how much a season is over, and nothing without an allowance', () => {
    const over = { ...seasonWater, leftL: -40 };
    const plan = examplePlan({ seasonWater: over });
    const told = withNotes(plan, seasonNotes(plan, '2026-04-01'));
    expect(toldOf(told, 'season_allowance')[0]).toContain('40 L over the limit.');
    expect(seasonNotes(examplePlan(), '2026-04-01')).toEqual([]);
  });
});
