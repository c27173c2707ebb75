import { describe, expect, it } from 'vitest';
import type { DayPlan } from '../../../../calc/schedule/day-plan.ts';
import { keptOffRuns, ownRuns } from '../../../../daemon/site/gate/keep-offs.ts';
import type { PersonKeepOff } from '../../../../daemon/site/store/holds-and-keep-offs.ts';
import { examplePlan } from '../../../example-plan.ts';

const plan = examplePlan();
const [run] = plan.runs;
if (run === undefined) throw new Error('the example has no run');
const endMs = run.startMs + run.runS * 1000;

const keepOff = (fromMs: number, untilMs: number | null, beds: PersonKeepOff['beds'] = 'all') => ({
  keepOffId: 1,
  atMs: fromMs,
  who: 'A. Keeper',
  why: 'mow',
  beds,
  untilMs,
  labelIntervalS: 0,
  endedMs: null,
  endedBy: null,
  takenBackMs: null,
});

describe('keptOffRuns', () => {
  // The run lasts from its start up to, and not including, its end; so does the keep-off.
  it.each<[string, number, number | null, boolean]>([
    ['around it', run.startMs - 1, endMs + 1, true],
    ['the same stretch', run.startMs, endMs, true],
    ['in the middle of it', run.startMs + 1, endMs - 1, true],
    ['over its first millisecond', run.startMs - 60_000, run.startMs + 1, true],
    ['over its last millisecond', endMs - 1, endMs + 60_000, true],
    ['up to its start', run.startMs - 60_000, run.startMs, false],
    ['from its end', endMs, endMs + 60_000, false],
    ['long before', run.startMs - 7_200_000, run.startMs - 3_600_000, false],
    ['long after', endMs + 3_600_000, endMs + 7_200_000, false],
    ['open since before', run.startMs - 60_000, null, true],
    ['open from its end', endMs, null, false],
  ])('by a keep-off %s', (_, fromMs, untilMs, isKept) => {
    const kept = keptOffRuns([run], [keepOff(fromMs, untilMs)], run.startMs - 600_000);
    expect(kept).toEqual(isKept ? [run] : []);
  });

  it('leaves out runs that have ended, to the millisecond', () => {
    const around = [keepOff(run.startMs - 1, endMs + 60_000)];
    expect(keptOffRuns([run], around, endMs - 1)).toEqual([run]);
    expect(keptOffRuns([run], around, endMs)).toEqual([]);
  });

  it('finds the runs of the kept-off beds alone, in the given order', () => {
    const beds = [keepOff(plan.startMs, null, ['bed-2', 'bed-1'])];
    const kept = keptOffRuns(plan.runs, beds, plan.startMs);
    expect(kept).toEqual(plan.runs.filter(({ bedId }) => bedId !== 'bed-3'));
    expect(keptOffRuns(plan.runs, [], plan.startMs)).toEqual([]);
  });

  it('holds each bed against its own keep-off', () => {
    // Bed 1 is kept off after its runs, bed 2 before them.
    const apart = [
      keepOff(plan.endMs - 1, null, ['bed-1']),
      keepOff(plan.startMs, plan.startMs + 60_000, ['bed-2']),
    ];
    expect(keptOffRuns(plan.runs, apart, plan.startMs)).toEqual([]);
  });
});

describe('ownRuns', () => {
  const withReasons = (
    bedId: string,
    cycle: number,
    codes: ('kept' | 'first_of_day')[],
  ): DayPlan => ({
    ...plan,
    beds: plan.beds.map((bed) => ({
      ...bed,
      cycles: bed.cycles.map((one) =>
        bed.bedId === bedId && one.cycle === cycle
          ? { ...one, reasons: codes.map((code) => ({ code })) }
          : one,
      ),
    })),
  });

  it('is every run of a plan that has placed all of them', () => {
    expect(ownRuns(plan)).toEqual(plan.runs);
  });

  it('leaves out a cycle that stood already, at its bed alone', () => {
    const own = ownRuns(withReasons('bed-1', 2, ['kept']));
    expect(own).toEqual(
      plan.runs.filter(({ bedId, cycle }) => !(bedId === 'bed-1' && cycle === 2)),
    );
    expect(own).toHaveLength(plan.runs.length - 2);
  });

  it.each([
    ['a cycle without a reason', []],
    ['one that is kept for another reason first', ['first_of_day', 'kept']],
  ] as const)('has %s in it', (_, codes) => {
    expect(ownRuns(withReasons('bed-1', 2, [...codes]))).toEqual(plan.runs);
  });
});
