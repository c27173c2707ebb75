import { describe, expect, it } from 'vitest';
import { columnOf, recordsRig, rowsOf } from './records-rig.ts';

const DAY_MIN = 24 * 60;
const FLOW_L_PER_MIN = 100;
const STATIONS_OF: Readonly<Record<string, number>> = { 'bed-1': 2, 'bed-2': 1, 'bed-3': 2 };

const sum = (of: readonly number[]) => of.reduce((total, one) => total + one, 0);

/** Two days of the invented site: all confirmed, of the first day's runs one in three is reported. */
async function twoDays(more: string[] = []) {
  const rig = recordsRig({ more });
  const first = await rig.plan();
  rig.confirm(first);
  const asked = first.plan.runs;
  rig.goTo(DAY_MIN);
  const second = await rig.plan();
  rig.confirm(second);
  rig.goTo(2 * DAY_MIN);
  return {
    rig,
    asked,
    second: second.plan.runs,
    day: first.plan.siteDay,
    next: second.plan.siteDay,
  };
}

describe('a report of two days', () => {
  it('has the sums of the plans, counted anew', async () => {
    const { rig, asked, second, day, next } = await twoDays();
    const report = await rig.report(day, next);
    const all = [...asked, ...second];
    expect(all.length).toBeGreaterThan(20);
    const litres = sum(all.map((run) => (run.runS * FLOW_L_PER_MIN) / 60));
    for (const file of [
      'water-by-day.csv',
      'water-by-bed.csv',
      'water-by-station.csv',
      'water-by-bed-and-day.csv',
    ]) {
      const told = columnOf(report, file, 'sprinklers (m³)');
      // Each row is rounded to a litre.
      expect(Math.abs(1000 * sum(told) - litres), file).toBeLessThanOrEqual(0.5 * told.length);
      expect(sum(columnOf(report, file, 'runs (count)')), file).toBe(all.length);
    }
    for (const [bed, stations] of Object.entries(STATIONS_OF)) {
      const own = all.filter((run) => run.bedId === bed);
      const row = rowsOf(report, 'water-by-bed.csv').find((one) => one['bed'] === bed);
      expect(Number(row?.['gross (mm)']), bed).toBeCloseTo(
        sum(own.map((run) => run.grossMm)) / stations,
        2,
      );
      expect(Number(row?.['net (mm)']), bed).toBeCloseTo(
        sum(own.map((run) => run.netMm)) / stations,
        2,
      );
    }
  });

  it('marks what nothing reported, and what was reported not', async () => {
    const { rig, day } = await twoDays();
    const report = await rig.report(day);
    const runs = rowsOf(report, 'runs.csv');
    expect(runs.length).toBeGreaterThan(10);
    for (const run of runs) {
      expect(run['known from']).toBe('assumed');
      expect(run['estimates in this row (column: why)']).toContain('assumed');
    }
    expect(report.page).toContain('≈');
    expect(report.page).toContain('assumed to have run as planned');
  });
});
