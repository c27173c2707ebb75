import { expect, test } from 'vitest';
import { type Cell, CONFIRMS } from './cells.ts';
import { cellLine, figuresOf, type Judged } from './judge-table.ts';

const CELL: Cell = {
  row: {
    name: 'class alone',
    fromDay: 1,
    forecasts: ['day-ahead'],
    run: () => Promise.reject(new Error('not run here')),
  },
  forecast: 'day-ahead',
  confirm: CONFIRMS[0],
};

/** Two days, of which the first does not count. */
function judged(
  caseName: string,
  day: { dryMin: number; netMm: number; referenceMm: number },
): Judged {
  const ignored = { dryMin: 500, daylightMin: 600, netMm: 50, drainedMm: 9, cycles: 9 };
  const { dryMin, netMm, referenceMm } = day;
  const counted = { dryMin, daylightMin: 600, netMm, drainedMm: 1, cycles: netMm };
  const reference = { ...counted, dryMin: 0, netMm: referenceMm, cycles: referenceMm };
  return {
    cell: CELL,
    caseName,
    isApart: false,
    result: { days: [ignored, counted], bands: { told: 4, inside: 3 } },
    reference: [ignored, reference],
  };
}

const all = [
  judged('first', { dryMin: 6, netMm: 6, referenceMm: 4 }),
  judged('second', { dryMin: 30, netMm: 9, referenceMm: 6 }),
];

test('means over cases, ratios of sums', () => {
  const figures = figuresOf(all);
  expect(figures.meanPct).toBeCloseTo(3, 9);
  // The referee watered the first case four times: it hardly needed water.
  expect(figures.thirstyPct).toBeCloseTo(5, 9);
  expect(figures.worst).toEqual({ pct: 5, caseName: 'second' });
  expect(figures.ratio).toBeCloseTo(1.5, 9);
  expect(figures.cycleRatio).toBeCloseTo(1.5, 9);
  expect(figures.drainedMm).toBeCloseTo(1, 9);
  expect(figures.bands).toEqual({ told: 8, inside: 6 });
});

test('an aim is met when mean, worst case and water are', () => {
  expect(cellLine(all)).toContain('NOT met');
  const better = [
    judged('first', { dryMin: 6, netMm: 6, referenceMm: 4 }),
    judged('second', { dryMin: 12, netMm: 9, referenceMm: 6 }),
  ];
  expect(cellLine(better)).toMatch(/: met$/m);
  const thirsty = better.map((one) =>
    judged(one.caseName, { dryMin: 6, netMm: 9, referenceMm: 4 }),
  );
  expect(cellLine(thirsty)).toContain('NOT met');
  expect(cellLine(all)).toContain('75 %');
});
