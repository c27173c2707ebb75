import { describe, expect, it } from 'vitest';
import type { SiteDay } from '../../../../adapters/site-clock.ts';
import { holdWater } from '../../../../daemon/site/gate/gate.ts';
import { addHandWater } from '../../../../daemon/site/store/hand-records.ts';
import { columnOf, recordsRig, rowsOf } from './records-rig.ts';

const DAY_MIN = 24 * 60;
const FLOW_L_PER_MIN = 100;
const ESTIMATES = 'estimates in this row (column: why)';
const STATIONS_OF: Readonly<Record<string, number>> = { 'bed-1': 2, 'bed-2': 1, 'bed-3': 2 };
const FILES = [
  'water-by-day.csv',
  'water-by-bed.csv',
  'water-by-station.csv',
  'water-by-bed-and-day.csv',
];

const sum = (of: readonly number[]) => of.reduce((total, one) => total + one, 0);

/** Two days of the invented site, all confirmed; on the second a receiver reports shorter runs. */
async function twoDays(more: string[] = [], startMs?: number) {
  const rig = recordsRig({ more, ...(startMs === undefined ? {} : { startMs }) });
  const first = await rig.plan();
  rig.confirm(first);
  // A receiver that comes later says nothing of the runs before it.
  rig.goTo(3 * DAY_MIN);
  const second = await rig.plan();
  rig.confirm(second);
  rig.goTo(4 * DAY_MIN);
  const reported = second.plan.runs.map((run) => ({ ...run, runS: run.runS - 30 }));
  for (const { stationId, startMs: atMs, runS } of reported) {
    rig.report(stationId, { startMs: atMs, runS });
  }
  const [day, next] = [first.plan.siteDay, second.plan.siteDay];
  return { rig, assumed: first.plan.runs, asked: second.plan.runs, reported, day, next };
}

describe.each([
  { units: 'metric', litres: 1000, volume: 'm³', depth: 'mm', mm: 1, decimals: 3 },
  { units: 'us', litres: 3.785411784, volume: 'gal', depth: 'in', mm: 25.4, decimals: 0 },
])('a report in $units units', ({ units, litres, volume, depth, mm, decimals }) => {
  it('has the sums of the runs, counted anew from plans and reports', async () => {
    const { rig, assumed, asked, reported, day, next } = await twoDays([`units: ${units}`]);
    const report = await rig.reportOf(day, next);
    expect(assumed.length).toBeGreaterThan(10);
    expect(reported.length).toBeGreaterThan(10);
    const wanted = sum([...assumed, ...reported].map((run) => (run.runS * FLOW_L_PER_MIN) / 60));
    for (const file of FILES) {
      const told = columnOf(report, file, `sprinklers (${volume})`);
      const rounding = 0.5 * 10 ** -decimals * told.length + 1e-9;
      expect(Math.abs(sum(told) - wanted / litres), file).toBeLessThanOrEqual(rounding);
      expect(sum(columnOf(report, file, 'runs (count)')), file).toBe(assumed.length + asked.length);
      const minutes = sum(columnOf(report, file, 'assumed to have run (min)'));
      expect(
        Math.abs(minutes - sum(assumed.map((run) => run.runS)) / 60),
        file,
      ).toBeLessThanOrEqual(0.05 * told.length);
    }
    for (const [bed, stations] of Object.entries(STATIONS_OF)) {
      const own = (of: typeof assumed) => of.filter((run) => run.bedId === bed);
      const shorter = own(asked).map((run) => (run.grossMm * (run.runS - 30)) / run.runS);
      const grossMm = (sum(own(assumed).map((run) => run.grossMm)) + sum(shorter)) / stations;
      const row = rowsOf(report, 'water-by-bed.csv').find((one) => one['bed'] === bed);
      expect(Math.abs(Number(row?.[`gross (${depth})`]) - grossMm / mm), bed).toBeLessThanOrEqual(
        0.0051,
      );
    }
  });

  it('names a unit or the zone in every heading with numbers or times', async () => {
    const { rig, day, next } = await twoDays([`units: ${units}`]);
    const report = await rig.reportOf(day, next);
    for (const { file, content } of report.tables) {
      const rows = rowsOf(report, file);
      const headings = (content.split('\r\n')[0] ?? '').split(',');
      for (const heading of headings) {
        const isNumber = rows.some((row) => /^-?\d+(\.\d+)?$/.test(row[heading] ?? ''));
        const isTime = rows.some((row) => /^\d{4}-\d{2}-\d{2}/.test(row[heading] ?? ''));
        if (isNumber)
          expect(heading, file).toMatch(
            /\((mm|in|°C|°F|m\/s|mph|gal|m³|min|h|%|count|in\/h|mm\/h|gpm|L\/min|number.*)\)$/,
          );
        if (isTime) expect(heading, file).toContain('America/Los_Angeles');
      }
    }
  });
});

describe('estimates', () => {
  it('are marked where nothing reported, and not where a receiver did', async () => {
    const { rig, day, next } = await twoDays();
    const report = await rig.reportOf(day, next);
    const runs = rowsOf(report, 'runs.csv');
    const assumed = runs.filter((run) => run['known from'] === 'assumed');
    const known = runs.filter((run) => run['known from'] === 'reported');
    expect(assumed.length).toBeGreaterThan(10);
    expect(known.length).toBeGreaterThan(10);
    for (const run of assumed) expect(run[ESTIMATES]).toContain('counts: assumed');
    for (const run of known) {
      expect(run[ESTIMATES]).not.toContain('assumed');
      expect(run[ESTIMATES]).toContain('rate not measured');
    }
    const days = rowsOf(report, 'weather-by-day.csv');
    expect(days[0]?.[ESTIMATES]).toContain('stand-in');
    expect(report.page).toContain('≈');
    expect(report.page).toContain('assumed to have run as planned');
  });

  it('say no more than is known where there was no plan', async () => {
    const rig = recordsRig();
    const report = await rig.reportOf('2026-06-01', '2026-06-02');
    expect(rowsOf(report, 'weather-by-day.csv')[0]).toMatchObject({ 'high (°C)': '' });
    expect(rowsOf(report, 'water-by-bed.csv')[0]).toMatchObject({
      'loss (mm)': '',
      'gross (mm)': '0.00',
    });
    expect(report.page).not.toMatch(/NaN|undefined|null/);
  });
});

describe('a report in Spanish', () => {
  it('has the same numbers, headings and codes, and its sentences in Spanish', async () => {
    const { rig, day, next } = await twoDays();
    const [english, spanish] = [await rig.reportOf(day, next), await rig.reportOf(day, next, 'es')];
    expect(spanish.page).toContain('<html lang="es">');
    expect(spanish.page).toContain('Pérdida y agua por día');
    expect(spanish.page).not.toMatch(/Water by bed|Loss and water|assumed to have|germination/);
    for (const { file } of english.tables) {
      const bare = (report: typeof english) =>
        rowsOf(report, file).map(({ text, [ESTIMATES]: estimates, ...row }) => row);
      expect(bare(spanish), file).toEqual(bare(english));
    }
    expect(rowsOf(spanish, 'runs.csv')[0]?.[ESTIMATES]).toContain('counts: supuesto');
  });
});

describe('holds and water by hand', () => {
  it('take their runs out, and count once', async () => {
    const rig = recordsRig();
    const stored = await rig.plan();
    rig.confirm(stored);
    const { runs, siteDay } = stored.plan;
    const middle = runs[Math.floor(runs.length / 2)]?.startMs ?? 0;
    rig.setMs(middle - 60_000);
    holdWater(
      { db: rig.db, clock: rig.config.clock, outputs: ['file'], nowMs: middle - 60_000 },
      { who: 'B. Hand (invented)', why: 'pipe <burst> & "mud"', beds: ['bed-1'], untilMs: null },
    );
    rig.goTo(DAY_MIN);
    addHandWater(rig.db, {
      atMs: middle,
      who: 'B. Hand (invented)',
      bedId: 'bed-2',
      stationId: null,
      startMs: middle,
      runS: 600,
      grossMm: 2,
    });
    const report = await rig.reportOf(siteDay);
    const isOut = (run: (typeof runs)[number]) =>
      run.bedId === 'bed-1' && run.startMs >= middle - 60_000;
    const ran = runs.filter((run) => !isOut(run));
    expect(runs.length - ran.length).toBeGreaterThan(0);
    const litres = sum(ran.map((run) => (run.runS * FLOW_L_PER_MIN) / 60));
    expect(1000 * sum(columnOf(report, 'water-by-day.csv', 'sprinklers (m³)'))).toBeCloseTo(
      litres,
      -1,
    );
    expect(sum(columnOf(report, 'water-by-bed.csv', 'confirmed and not run (min)'))).toBeCloseTo(
      sum(runs.filter(isOut).map((run) => run.runS)) / 60,
      1,
    );
    // 2 mm over 450 m².
    expect(sum(columnOf(report, 'water-by-day.csv', 'by hand (m³)'))).toBeCloseTo(0.9, 3);
    expect(
      rowsOf(report, 'events.csv').some(
        (row) => row['what'] === 'hold' && row['text']?.startsWith('pipe <burst>'),
      ),
    ).toBe(true);
    expect(report.page).toContain('pipe &lt;burst&gt; &amp; &quot;mud&quot;');
  });
});

describe('a day on which the clock changes', () => {
  it.each([
    ['2026-03-08', 23],
    ['2026-11-01', 25],
  ])('%s has %i hours, and every run in one day', async (day, hours) => {
    const rig = recordsRig({ startMs: Date.parse(`${day}T13:00:00Z`) });
    const stored = await rig.plan();
    expect(stored.plan.siteDay).toBe(day);
    rig.confirm(stored);
    rig.goTo(2 * DAY_MIN);
    const { clock } = rig.config;
    const before = clock.addDays(day as SiteDay, -1);
    const report = await rig.reportOf(before, clock.addDays(day as SiteDay, 1));
    const [, own] = report.record.days;
    expect(((own?.endMs ?? 0) - (own?.startMs ?? 0)) / 3_600_000).toBe(hours);
    expect(columnOf(report, 'water-by-day.csv', 'runs (count)')).toEqual([
      0,
      stored.plan.runs.length,
      0,
    ]);
    expect(stored.plan.runs.length).toBeGreaterThan(5);
    // In the hour that comes twice only the offset tells the two apart.
    expect(rowsOf(report, 'runs.csv')[0]?.['start (America/Los_Angeles)']).toMatch(/ -0[78]:00$/);
  });
});

describe('what a report asks of the world outside', () => {
  it('is nothing', async () => {
    const { rig, day, next } = await twoDays();
    const { page } = await rig.reportOf(day, next);
    const outside = [
      ...page.matchAll(/(?:src=|href=|url\((?!#)|@import|https?:\/\/)[^"')\s]*/g),
    ].map((one) => one[0]);
    expect(outside).toEqual([]);
    expect(page).not.toMatch(/<script/i);
  });
});
