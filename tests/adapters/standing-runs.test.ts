import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { missedRuns, standingRuns } from '../../adapters/plan-document.ts';
import type { DayPlan } from '../../calc/schedule/day-plan.ts';
import { siteClock } from '../../daemon/site/time/site-clock.ts';
import { confirmedForTest } from '../confirmed-plan.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_ZONE, examplePlan } from '../example-plan.ts';

const clock = siteClock(EXAMPLE_ZONE);
const at = (minutes: number) => EXAMPLE_MADE_AT_MS + minutes * 60_000;
const confirmed = (given: { atMs: number; plan?: DayPlan; heldBedIds?: string[] }) =>
  confirmedForTest({
    plan: given.plan ?? examplePlan(),
    clock,
    confirmation: { atMs: given.atMs },
    heldBedIds: given.heldBedIds ?? [],
  });
const names = (runs: { stationId: string; cycle: number }[]) =>
  runs.map(({ stationId, cycle }) => `${stationId} ${cycle}`);

describe('standingRuns', () => {
  it('keeps a cycle that starts in the moment of the confirm, and drops it a moment later', () => {
    expect(names(standingRuns(confirmed({ atMs: at(75) }))).slice(0, 2)).toEqual([
      's-1a 1',
      's-1b 1',
    ]);
    const late = confirmed({ atMs: at(75) + 1 });
    expect(names(standingRuns(late))[0]).toBe('s-2a 1');
    expect(names(missedRuns(late))).toEqual(['s-1a 1', 's-1b 1']);
  });

  it('drops a cycle as a whole when its second station was still to come', () => {
    const inTurn = examplePlan();
    inTurn.runs = inTurn.runs.map((run) =>
      run.stationId === 's-1b' ? { ...run, startMs: run.startMs + 4 * 60_000 } : run,
    );
    const late = confirmed({ atMs: at(77), plan: inTurn });
    expect(names(missedRuns(late))).toEqual(['s-1a 1', 's-1b 1']);
    expect(names(standingRuns(late))).not.toContain('s-1b 1');
  });

  it('keeps no run of a held bed, and nothing when all are held', () => {
    const some = standingRuns(confirmed({ atMs: at(5), heldBedIds: ['bed-1'] }));
    expect(new Set(some.map((run) => run.bedId))).toEqual(new Set(['bed-2', 'bed-3']));
    const all = ['bed-1', 'bed-2', 'bed-3'];
    expect(standingRuns(confirmed({ atMs: at(5), heldBedIds: all }))).toEqual([]);
  });

  it('splits the plan of unheld beds into missed and standing, both in order of time', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 500 }), fc.nat(), (minutes, seed) => {
        const plan = examplePlan();
        plan.runs = plan.runs.toSorted(
          (a, b) => order(a.stationId, seed) - order(b.stationId, seed),
        );
        const given = confirmed({ atMs: at(minutes), plan });
        const missed = missedRuns(given);
        const standing = standingRuns(given);
        expect(missed.length + standing.length).toBe(plan.runs.length);
        for (const run of standing) expect(run.startMs).toBeGreaterThanOrEqual(at(minutes));
        for (const runs of [missed, standing]) {
          const startsMs = runs.map((run) => run.startMs);
          expect(startsMs).toEqual(startsMs.toSorted((a, b) => a - b));
        }
      }),
      { seed: 1, numRuns: 100 },
    );
  });
});

function order(stationId: string, seed: number): number {
  return [...stationId].reduce((sum, letter) => (sum * 31 + letter.charCodeAt(0) + seed) % 997, 7);
}
