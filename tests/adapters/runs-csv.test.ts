import { parse } from 'csv-parse/sync';
import { describe, expect, it } from 'vitest';
import { RUNS_CSV_HEADER, runsCsv } from '../../adapters/plan-document.ts';
import { siteClock } from '../../daemon/site/time/site-clock.ts';
import { EXAMPLE_ZONE, examplePlan } from '../example-plan.ts';

const clock = siteClock(EXAMPLE_ZONE);
const plan = examplePlan();
const sayReason = (reason: { code: string; why?: string }) =>
  `${reason.code} ${reason.why ?? ''}`.trim();

describe('runsCsv', () => {
  const csv = runsCsv({ runs: plan.runs, plan, clock, sayReason });

  it('has the agreed header, CRLF line ends and one row for each run', () => {
    const lines = csv.split('\r\n');
    expect(lines[0]).toBe('bed,station,start,run_seconds,gross_mm,net_mm,cycle,reason');
    expect(lines[1]).toBe(
      'bed-1,s-1a,2026-07-01T06:15:00-07:00,240,1.050,1.000,1,store_at_reserve',
    );
    expect(lines).toHaveLength(plan.runs.length + 2);
  });

  it('reads back through another program with quotes and commas whole', () => {
    const rows: { station: string; cycle: string }[] = parse(csv, { columns: true });
    expect(rows).toHaveLength(12);
    expect(rows.find((row) => row.station === 's-1a' && row.cycle === '2')).toMatchObject({
      reason: 'store_at_reserve; before_keep_off roll, then "walk"',
    });
  });

  it('is the header alone when nothing runs', () => {
    expect(runsCsv({ runs: [], plan: null, clock, sayReason })).toBe(`${RUNS_CSV_HEADER}\r\n`);
  });

  it('writes the offset in force at each start', () => {
    const startMs = Date.parse('2026-11-01T09:30:00Z');
    const [run] = plan.runs;
    const runs = run
      ? [
          { ...run, startMs: startMs - 3_600_000 },
          { ...run, startMs },
        ]
      : [];
    const text = runsCsv({ runs, plan, clock, sayReason });
    expect(text).toContain('2026-11-01T01:30:00-07:00');
    expect(text).toContain('2026-11-01T01:30:00-08:00');
  });
});
