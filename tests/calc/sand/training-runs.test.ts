import { describe, expect, test } from 'vitest';
import { runUntilDry } from '../../../calc/sand/bed-column.ts';
import { evenGrid } from '../../../calc/sand/column-grid.ts';
import { vanGenuchtenMualem } from '../../../calc/sand/hydraulic-properties.ts';
import { copyColumn, createColumn, storedMm } from '../../../calc/sand/richards-column.ts';
import { sandClass } from '../../../calc/sand/sand-classes.ts';
import {
  bedStates,
  inFiveMinutes,
  sineDay,
  trainingRuns,
  waterInLayers,
} from '../../../calc/sand/training-runs.ts';

describe('an invented clear day', () => {
  test('loses by a half sine from six to six, its peak around noon', () => {
    const demands = sineDay(0.9, 0, 24).map((spell) => spell.demandMmPerH);
    expect(demands.slice(0, 6)).toEqual([0, 0, 0, 0, 0, 0]);
    expect(demands.slice(18)).toEqual([0, 0, 0, 0, 0, 0]);
    // Sine of 7.5, 37.5 and 82.5 degrees.
    expect(demands[6]).toBeCloseTo(0.9 * 0.130526, 5);
    expect(demands[8]).toBeCloseTo(0.9 * 0.608761, 5);
    expect(demands[11]).toBeCloseTo(0.9 * 0.991445, 5);
    expect(demands[12]).toBeCloseTo(demands[11] ?? 0, 9);
    expect(demands[17]).toBeCloseTo(demands[6] ?? 0, 9);
  });

  test('begins at its hour and goes on into the next', () => {
    const spells = sineDay(0.9, 22, 15);
    expect(spells).toHaveLength(15);
    expect(spells.map(({ demandMmPerH }) => demandMmPerH > 0)).toEqual([
      ...Array.from({ length: 8 }, () => false),
      ...Array.from({ length: 7 }, () => true),
    ]);
    expect(new Set(spells.map(({ hours }) => hours))).toEqual(new Set([1]));
    expect(new Set(spells.map(({ waterMmPerH }) => waterMmPerH))).toEqual(new Set([0]));
  });
});

test('spells are cut into even pieces of five minutes at most', () => {
  const cut = (hours: number) =>
    inFiveMinutes([{ hours, waterMmPerH: 18, demandMmPerH: 0.3 }]).map((one) => one.hours);
  expect(cut(1)).toHaveLength(12);
  expect(cut(0.1)).toEqual([0.05, 0.05]);
  expect(cut(1 / 12)).toEqual([1 / 12]);
  expect(cut(0.02)).toEqual([0.02]);
  expect(inFiveMinutes([{ hours: 0.1, waterMmPerH: 18, demandMmPerH: 0.3 }])[1]).toMatchObject({
    waterMmPerH: 18,
    demandMmPerH: 0.3,
  });
});

test('bands hold the water above residual between their depths', () => {
  const soil = vanGenuchtenMualem({
    residualFraction: 0.05,
    saturatedFraction: 0.4,
    alphaPerCm: 0.05,
    n: 3,
    saturatedMmPerH: 300,
  });
  const column = createColumn({
    grid: evenGrid({ depthMm: 100, nodes: 101 }),
    layers: [{ soil, lastNode: 100 }],
    top: { kind: 'atmosphere', dryHeadMm: -1e5, pondMm: 5 },
    bottom: { kind: 'seepage_face' },
    headMm: 0,
  });
  // Saturated: 0.35 mm in each of depth.
  const bands = waterInLayers(column, [8, 30, 100]);
  expect(bands[0]).toBeCloseTo(0.35 * 8, 6);
  expect(bands[1]).toBeCloseTo(0.35 * 22, 6);
  expect(bands[2]).toBeCloseTo(0.35 * 70, 6);
});

describe('the runs that a planning model learns from', () => {
  const { bed } = sandClass('coarse_open');
  const states = bedStates({ ...bed, sand: bed.sand });
  const bottomsMm = [8, 24, bed.depthMm];
  const runs = trainingRuns(states, bottomsMm);
  const waterMm = (run: (typeof runs)[number]) =>
    run.spells.reduce((sum, spell) => sum + spell.hours * spell.waterMmPerH, 0);

  test('are steady losses, doses, and two days with a sun', () => {
    expect(runs.map(({ name }) => name)).toEqual([
      ...['full 0.1', 'full 0.3', 'full 0.8', 'drained 0.15', 'drained 0.5'],
      ...['dry + 0.5 at 0.3', 'dry + 0.7 at 0.7', 'dry + 1.3 at 0.25', 'dry + 1.5 at 1'],
      ...['dry + 2.5 at 0.7', 'dry + 2.5 at 0.12', 'dry + 3 at 1'],
      ...['half + 0.7 at 0.8', 'half + 2 at 0.4'],
      ...['dry + 4 x 1.2', 'dry + 10 x 1', 'half + 10 x 1', 'drained + 12 x 0.7'],
      ...['full, sine day', 'dry + 2, sine day from noon'],
    ]);
  });

  test.each(runs.map((run) => [run.name, run] as const))(
    'give and take what they say: %s',
    (name, run) => {
      const [, from, doseMm = '0', demand] =
        /^(\w+)(?: \+ ([\d.]+) at)? ([\d.]+)$/.exec(name) ?? [];
      if (from === undefined) {
        const [, count, mm] = / \+ (\d+) x ([\d.]+)$/.exec(name) ?? [];
        const day = name.startsWith('dry') ? 2 : 0;
        const given = count === undefined ? day : Number(count) * Number(mm);
        expect(waterMm(run)).toBeCloseTo(given, 9);
      } else {
        expect(waterMm(run)).toBeCloseTo(Number(doseMm), 9);
        expect(new Set(run.spells.map((one) => one.demandMmPerH))).toEqual(
          new Set([Number(demand)]),
        );
        const hours = run.spells.reduce((sum, one) => sum + one.hours, 0);
        expect(hours).toBeCloseTo(30 + Number(doseMm) / 18, 9);
        expect(run.fromH).toBeCloseTo(Number(doseMm) / 18, 9);
      }
      for (const spell of run.spells) {
        expect([0, 18]).toContain(spell.waterMmPerH);
        expect(spell.hours).toBeLessThan(1 / 12 + 1e-9);
      }
    },
  );

  test('end some time after the bed is dry: half as long again and 18 min, at most two hours', () => {
    for (const run of runs) {
      if (run.dryAtH === null) continue;
      const lookedH = run.spells
        .slice(0, run.evaporationMmPerH.length)
        .reduce((sum, one) => sum + one.hours, 0);
      const afterH = Math.min(2, 0.5 * (run.dryAtH - run.fromH) + 0.3);
      const wholeH = run.spells.reduce((sum, one) => sum + one.hours, 0);
      expect(lookedH).toBeGreaterThanOrEqual(Math.min(wholeH, run.dryAtH + afterH) - 1e-9);
      expect(lookedH).toBeLessThanOrEqual(run.dryAtH + afterH + 1 / 12 + 1e-9);
      expect(run.layersMm).toHaveLength(run.evaporationMmPerH.length + 1);
      expect(run.dryAtH).toBeGreaterThanOrEqual(run.fromH);
    }
  });

  test.each([
    ['dry + 4 x 1.2', 2, 0.55],
    ['dry + 10 x 1', 1, 0.8],
    ['half + 10 x 1', 1, 0.35],
    ['drained + 12 x 0.7', 1, 0.5],
  ])('show %s mm, a dose each %i h, judged from the last on', (name, everyH, demandMmPerH) => {
    const run = runs.find((one) => one.name === name);
    if (run === undefined) throw new Error('no such run');
    const [count = 0, mm = 0] = name.split('+ ')[1]?.split(' x ').map(Number) ?? [];
    expect(run.fromH).toBeCloseTo((count - 1) * everyH + mm / 18, 9);
    let atH = 0;
    const wetFrom = run.spells.flatMap((spell, at) => {
      const begins = spell.waterMmPerH > 0 && run.spells[at - 1]?.waterMmPerH !== 18;
      const foundH = atH;
      atH += spell.hours;
      return begins ? [foundH] : [];
    });
    const every = Array.from({ length: count }, (_, i) => i * everyH);
    expect(wetFrom.map((hours) => Math.round(hours * 1e6) / 1e6)).toEqual(every);
    expect(new Set(run.spells.map((one) => one.demandMmPerH))).toEqual(new Set([demandMmPerH]));
  });

  test('begin from a bed that is full, drained, half dried or dry', () => {
    const firstMm = (name: string) =>
      runs.find((run) => run.name === name)?.layersMm[0]?.reduce((sum, mm) => sum + mm, 0) ?? 0;
    const full = firstMm('full 0.1');
    const half = firstMm('half + 2 at 0.4');
    const dry = firstMm('dry + 3 at 1');
    expect(full).toBeGreaterThan(half);
    expect(half).toBeGreaterThan(dry);
    const dryingMm = (of: typeof states.full) => storedMm(of, bed.depthMm);
    expect(dryingMm(states.full)).toBeGreaterThan(dryingMm(states.half));
    // The half state has given half of the time that a slow drying takes.
    expect(firstMm('full 0.1')).toBeCloseTo(firstMm('full, sine day'), 9);
  });

  test('two days with a sun last sixty hours from dawn, and two days from noon', () => {
    const [dawn, noon] = runs.slice(-2);
    const hours = (run: typeof dawn) =>
      (run?.spells ?? []).reduce((sum, one) => sum + one.hours, 0);
    expect(hours(dawn)).toBeCloseTo(60, 6);
    expect(hours(noon)).toBeCloseTo(48 + 2 / 18, 6);
    const most = (run: typeof dawn) =>
      Math.max(...(run?.spells ?? []).map((one) => one.demandMmPerH));
    expect(most(dawn)).toBeCloseTo(0.9 * 0.991445, 5);
    expect(dawn?.spells[0]?.demandMmPerH).toBeCloseTo(0.9 * 0.130526, 5);
    expect(noon?.spells[0]).toMatchObject({ waterMmPerH: 18, demandMmPerH: 0.9 });
    expect(noon?.spells.find((one) => one.waterMmPerH === 0)?.demandMmPerH).toBeCloseTo(
      0.9 * 0.991445,
      5,
    );
  });

  test('dry half as long from the half dried bed as from the full one', () => {
    const slow = { hours: 500, waterMmPerH: 0, demandMmPerH: 0.4 };
    const dryH = (from: typeof states.full) =>
      runUntilDry(copyColumn(from), [slow], { limit: states.limit })?.hours ?? Number.NaN;
    expect(dryH(states.half) / dryH(states.full)).toBeCloseTo(0.5, 2);
    expect(dryH(states.dry)).toBeLessThan(0.05 * dryH(states.full));
  });

  test('lose at first what the air asks for, and never more', () => {
    for (const run of runs) {
      expect(run.dryAtH, run.name).not.toBeNull();
      for (const [at, evaporated] of run.evaporationMmPerH.entries()) {
        expect(evaporated).toBeLessThanOrEqual((run.spells[at]?.demandMmPerH ?? 0) + 1e-6);
      }
    }
    const first = (name: string) => runs.find((run) => run.name === name)?.evaporationMmPerH[0];
    expect(first('full 0.3')).toBeCloseTo(0.3, 6);
    expect(first('drained 0.15')).toBeCloseTo(0.15, 6);
  });
});
