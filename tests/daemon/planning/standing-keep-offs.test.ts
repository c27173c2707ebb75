import { describe, expect, it } from 'vitest';
import {
  dryUntilMs,
  keptOffRuns,
  ownRuns,
  personKeepOffStretches,
  standingAt,
} from '../../../daemon/site/gate/keep-offs.ts';
import {
  addKeepOff,
  addKeepOffEnd,
  keepOffById,
  type PersonKeepOff,
  personKeepOffs,
} from '../../../daemon/site/store/holds-and-keep-offs.ts';
import { examplePlan } from '../../example-plan.ts';
import { scratchDatabase } from '../../scratch-site.ts';

const open: PersonKeepOff = {
  keepOffId: 1,
  atMs: 100_000,
  who: 'A. Keeper',
  why: 'injector armed',
  beds: ['bed-1'],
  untilMs: null,
  labelIntervalS: 0,
  endedMs: null,
  endedBy: null,
  takenBackMs: null,
};

describe('when water may run again', () => {
  it.each([
    ['open', {}, Infinity],
    ['with an end', { untilMs: 500_000 }, 500_000],
    ['ended before its end', { untilMs: 500_000, endedMs: 300_000 }, 300_000],
    ['with a label', { untilMs: 500_000, labelIntervalS: 60 }, 560_000],
    ['ended, with a label', { untilMs: 500_000, endedMs: 300_000, labelIntervalS: 60 }, 360_000],
    ['open, with a label', { labelIntervalS: 60 }, Infinity],
    [
      'taken back in its label',
      { endedMs: 300_000, labelIntervalS: 60, takenBackMs: 310_000 },
      310_000,
    ],
  ] as [string, Partial<PersonKeepOff>, number][])('%s', (_, change, atMs) => {
    const keepOff = { ...open, ...change };
    expect(dryUntilMs(keepOff)).toBe(atMs);
    expect(standingAt([keepOff], Math.min(atMs, 1e9) - 1)).toEqual([keepOff]);
    if (atMs < Infinity) expect(standingAt([keepOff], atMs)).toEqual([]);
  });
});

describe('the stretches of a plan', () => {
  const asked = { bedIds: ['bed-1', 'bed-2'], fromMs: 200_000, endMs: 900_000 };

  it('last to the end of the plan while nobody has ended it', () => {
    expect(personKeepOffStretches([open], asked)).toEqual([
      { bedId: 'bed-1', startMs: 100_000, endMs: 900_000, why: 'injector armed' },
    ]);
  });

  it('tell the label apart from what it follows', () => {
    const spray: PersonKeepOff = {
      ...open,
      why: 'spray',
      beds: 'all',
      untilMs: 300_000,
      labelIntervalS: 100,
    };
    const found = personKeepOffStretches([spray], asked).filter((one) => one.bedId === 'bed-2');
    expect(found).toEqual([
      { bedId: 'bed-2', startMs: 100_000, endMs: 300_000, why: 'spray' },
      { bedId: 'bed-2', startMs: 300_000, endMs: 400_000, why: '', kind: 'label_interval' },
    ]);
  });
});

describe('runs in a keep-off', () => {
  it('are those of its beds that have not ended', () => {
    const { runs, madeAtMs } = examplePlan();
    const found = keptOffRuns(runs, [{ ...open, atMs: madeAtMs }], madeAtMs);
    expect(found).toEqual(runs.filter((run) => run.bedId === 'bed-1'));
    expect(keptOffRuns(runs, [{ ...open, atMs: madeAtMs }], madeAtMs + 24 * 3_600_000)).toEqual([]);
  });

  it('are none of the plan’s own where they stood already', () => {
    const plan = examplePlan();
    const [first, ...others] = plan.beds;
    if (first === undefined) throw new Error('no bed');
    const cycles = first.cycles.map((cycle) => ({
      ...cycle,
      reasons: cycle.cycle === 1 ? [{ code: 'kept' as const }] : cycle.reasons,
    }));
    const own = ownRuns({ ...plan, beds: [{ ...first, cycles }, ...others] });
    expect(own).toEqual(plan.runs.filter((run) => run.bedId !== 'bed-1' || run.cycle !== 1));
  });
});

describe('the rows', () => {
  it('are only ever added to, and the first end counts', () => {
    const db = scratchDatabase();
    const { keepOffId: _, endedMs: __, endedBy: ___, takenBackMs: ____, ...given } = open;
    const keepOffId = addKeepOff(db, given);
    expect(personKeepOffs(db)).toEqual([{ ...open, keepOffId }]);
    addKeepOffEnd(db, { keepOffId, atMs: 200, who: 'B. Keeper', byMistake: false });
    addKeepOffEnd(db, { keepOffId, atMs: 300, who: 'C. Keeper', byMistake: true });
    expect(keepOffById(db, keepOffId)).toMatchObject({
      endedMs: 200,
      endedBy: 'B. Keeper',
      takenBackMs: 300,
    });
    expect(() => db.exec("UPDATE keep_off SET why = 'x'")).toThrow(/only ever added to/);
    expect(() => db.exec('DELETE FROM keep_off_end')).toThrow(/only ever added to/);
  });
});
