import { describe, expect, test } from 'vitest';
import {
  bedColumn,
  capacityOverN,
  drainedColumn,
  dryDownTable,
  dryLimitFromDrained,
  fullColumn,
  runUntilDry,
} from '../../../calc/sand/bed-column.ts';
import { vanGenuchtenMualem } from '../../../calc/sand/hydraulic-properties.ts';
import { copyColumn, storedMm } from '../../../calc/sand/richards-column.ts';
import { sandClass, sandClasses } from '../../../calc/sand/sand-classes.ts';

describe('named sands', () => {
  test('at least six, each named once, published ones as published', () => {
    expect(new Set(sandClasses.map(({ key }) => key)).size).toBe(sandClasses.length);
    expect(sandClasses.length).toBeGreaterThanOrEqual(6);
    // Carsel & Parrish 1988, class means: sand 712.8 cm/day, loamy sand 350.2 cm/day.
    const daily = (key: string) => (sandClass(key).bed.sand.saturatedMmPerH * 24) / 10;
    expect(daily('coarse_open')).toBeCloseTo(712.8, 6);
    expect(daily('loamy_open')).toBeCloseTo(350.2, 1);
    expect(() => sandClass('clay')).toThrow('sandClass: no such sand (got clay); choose one of');
  });

  // Recommended ranges for greens mixes, from a trade summary of the USGA recommendations.
  test.each(sandClasses.filter(({ basis, bed }) => basis === 'assumed' && bed.under === 'gravel'))(
    '$key lies inside the recommended ranges',
    ({ bed }) => {
      const held = vanGenuchtenMualem(bed.sand).waterFraction(-300);
      expect(held).toBeGreaterThanOrEqual(0.15);
      expect(held).toBeLessThanOrEqual(0.25);
      expect(bed.sand.saturatedFraction).toBeGreaterThanOrEqual(0.35);
      expect(bed.sand.saturatedFraction - held).toBeGreaterThanOrEqual(0.15);
      expect(bed.sand.saturatedFraction - held).toBeLessThanOrEqual(0.3);
      expect(bed.sand.saturatedMmPerH).toBeGreaterThanOrEqual(150);
    },
  );
});

describe('dry limit', () => {
  const full = fullColumn(sandClass('coarse_open').bed);
  const drained = drainedColumn(full);
  const limit = dryLimitFromDrained(drained);

  test('is half-way from the drained seed layer to residual', () => {
    const held = storedMm(drained, 8) / 8;
    expect(limit.waterFraction).toBeCloseTo((held + 0.045) / 2, 12);
    expect(dryLimitFromDrained(drained, { keptFraction: 0 }).waterFraction).toBeCloseTo(0.045, 12);
    expect(() => dryLimitFromDrained(drained, { keptFraction: 50 })).toThrow(
      'give 0.5 for half-way',
    );
  });

  test('either event can come first, and what evaporated is demand times time', () => {
    const fast = { hours: 20, waterMmPerH: 0, demandMmPerH: 0.7 };
    const slow = { ...fast, demandMmPerH: 0.1, hours: 40 };
    const quick = runUntilDry(copyColumn(full), [fast], { limit });
    const late = runUntilDry(copyColumn(full), [slow], { limit });
    expect(quick?.event).toBe('surface');
    expect(late?.event).toBe('seed_layer');
    expect(late?.evaporatedMm).toBeCloseTo(0.1 * (late?.hours ?? 0), 3);
  });

  test('a bed under water is not judged, and a short run answers null', () => {
    const wet = { hours: 1, waterMmPerH: 5, demandMmPerH: 0.3 };
    expect(runUntilDry(copyColumn(drained), [wet], { limit })).toBeNull();
  });

  test('a grid five times finer moves a full coarse bed by less than 7 %', () => {
    const fine = fullColumn(sandClass('coarse_open').bed, { nodes: 150, firstMm: 0.05 });
    const spell = { hours: 10, waterMmPerH: 0, demandMmPerH: 0.7 };
    const usual = runUntilDry(copyColumn(full), [spell], { limit })?.hours ?? Number.NaN;
    const exact = runUntilDry(fine, [spell], { limit })?.hours ?? Number.NaN;
    expect(Math.abs(usual / exact - 1)).toBeLessThan(0.07);
  });
});

test('coarse open sand drained overnight holds about 0.1 mm at 0.7 mm/h', () => {
  // Independent recomputation with another column: 0.1 mm.
  const drained = drainedColumn(fullColumn(sandClass('coarse_open').bed));
  const limit = dryLimitFromDrained(drained);
  const spell = { hours: 5, waterMmPerH: 0, demandMmPerH: 0.7 };
  const dry = runUntilDry(drained, [spell], { limit });
  expect(Math.abs((dry?.evaporatedMm ?? 0) - 0.1)).toBeLessThan(0.05);
});

test('a fine mix over gravel holds more than 20 mm at 0.7 mm/h, a coarse sand little more than one', () => {
  const at = { ratesMmPerH: [0.7] };
  const [fine] = dryDownTable(sandClass('fine_over_gravel').bed, at);
  const [coarse] = dryDownTable(sandClass('coarse_open').bed, at);
  expect(fine?.capacityMm).toBeGreaterThan(20);
  expect(coarse?.capacityMm).toBeGreaterThan(0.9);
  expect(coarse?.capacityMm).toBeLessThan(1.5);
});

test('the capacity of open medium sand hangs on the exponent that a report leaves open', () => {
  const rows = capacityOverN(sandClass('medium_open').bed, { ns: [2.2, 3, 5], demandMmPerH: 0.7 });
  const capacities = rows.map(({ capacityMm }) => capacityMm ?? 0);
  expect(rows[1]?.alphaPerCm).toBeCloseTo(0.042, 9);
  expect((capacities[0] ?? 0) / (capacities[2] ?? 1)).toBeGreaterThan(3);
});

test('a bed given in metres is refused', () => {
  expect(() => bedColumn({ ...sandClass('coarse_open').bed, depthMm: 0.3 })).toThrow(
    'bedColumn: the sand must be at least 100 mm deep (got 0.3); check the unit',
  );
});
