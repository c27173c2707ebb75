import { describe, expect, it } from 'vitest';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { planDay } from '../../calc/schedule/plan-day.ts';
import type { Run } from '../../calc/schedule/run.ts';
import { bedDryness } from './avoidable.ts';
import { checkedSites } from './checked-sites.ts';
import { dayFacts } from './day-facts.ts';
import { inventedDay } from './invented-day.ts';
import { limitBreaches } from './limit-breaches.ts';

const SMALL = { leastBeds: 2, mostBeds: 6 };

describe('finished plans of small invented sites, judged from their runs alone', () => {
  const checked = checkedSites({ sites: 24, seed: 500, span: SMALL, tell: () => {} });

  it('break no limit', () => {
    expect([...checked.breaches]).toEqual([]);
    expect(checked.cycles).toBeGreaterThan(200);
  });

  it('leave no bed dry that one cycle more or one moved would help, and none without water', () => {
    expect(checked.dryMin).toBeGreaterThan(500);
    expect(checked.avoidableMin).toBe(0);
    expect(checked.leftOut).toBe(0);
  });

  it('say nothing that is not so', () => {
    expect(checked.claims).toBeGreaterThan(500);
    expect([...checked.falseClaims]).toEqual([]);
  });
});

describe('the judge of finished plans', () => {
  const input = inventedDay(503, SMALL);
  const plan = planDay(input);
  const kinds = (changed: DayPlan) =>
    new Set(limitBreaches(dayFacts(input, changed)).map(({ kind }) => kind));
  const [first] = plan.runs;
  if (first === undefined) throw new Error('the invented plan has runs');

  it('finds nothing in the plan as it is', () => {
    expect(kinds(plan)).toEqual(new Set());
  });

  it('sees a run that is too long, too early, at the same time as all others, or told wrong', () => {
    const withRuns = (change: (run: Run) => Partial<Run>): DayPlan => ({
      ...plan,
      runs: plan.runs.map((run) => ({ ...run, ...change(run) })),
    });
    expect(kinds(withRuns((run) => ({ runS: run.runS + 1 })))).toContain('whole_rotations');
    expect(kinds(withRuns((run) => ({ startMs: run.startMs - 6 * 3_600_000 })))).toContain('hours');
    const together = kinds(withRuns(() => ({ startMs: first.startMs })));
    expect(together).toContain('pump');
    expect(together).toContain('rest');
    expect(kinds(withRuns((run) => ({ netMm: run.netMm * 1.1 })))).toContain('net_depth');
  });

  it('sees a cycle that was left out of a plan, and what it would have saved', () => {
    for (const { bedId } of plan.beds) {
      const without = { ...plan, runs: plan.runs.filter((run) => run.bedId !== bedId) };
      const day = dayFacts(input, without);
      const facts = day.beds.find((one) => one.bed.id === bedId);
      if (facts === undefined) throw new Error(`no facts of ${bedId}`);
      const dryness = bedDryness(day, facts);
      if (dryness.dryMin === 0) continue;
      expect(dryness.avoidable?.savedMin ?? 0).toBeGreaterThan(0);
      expect(dryness.isLeftOut).toBe(true);
      return;
    }
    throw new Error('no bed of the invented site needs water');
  });
});
