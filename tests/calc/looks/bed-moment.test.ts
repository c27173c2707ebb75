import { describe, expect, it } from 'vitest';
import { libraryStore } from '../../../calc/futures/sand-members.ts';
import { STAGES } from '../../../calc/growth/stages.ts';
import { leftByMembers } from '../../../calc/looks/expected-look.ts';
import { plainStore } from '../../../calc/sand/seedbed-store.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import { smallDay } from '../../small-day.ts';

const HOUR_MS = 3_600_000;
const { site, startMs, hours } = smallDay({});
const [bed] = site.beds;
if (bed === undefined) throw new Error('the small day has lost its beds');
const store = plainStore({ capacityMm: 4, feedMmPerH: 0 });

const run = (stationId: string, netMm: number): Run => ({
  bedId: bed.id,
  stationId,
  startMs: startMs + 4 * HOUR_MS,
  runS: 300,
  rotations: 2,
  grossMm: netMm,
  netMm,
  cycle: 1,
});
const followed = {
  bed,
  stage: STAGES.germination,
  store,
  stateBefore: { storeMm: 3 },
  fromMs: startMs,
  atMs: startMs + 7 * HOUR_MS,
  hours,
};
const leftAtNoon = (given: {
  stationIds: string[];
  runs: Run[];
  stateBefore?: Record<string, number>;
}) => leftByMembers({ ...followed, ...given })[0] ?? Number.NaN;

describe('a bed at the moment of a look', () => {
  const unwatered = leftAtNoon({ stationIds: ['a'], runs: [] });

  it('is its driest part, by that part’s own water and not by the mean', () => {
    const watered = leftAtNoon({ stationIds: ['a', 'b'], runs: [run('a', 1), run('b', 1)] });
    expect(watered).toBeCloseTo(unwatered + 1 / 4, 6);
    expect(leftAtNoon({ stationIds: ['a', 'b'], runs: [run('a', 1)] })).toBeCloseTo(unwatered, 10);
    const uneven = leftAtNoon({ stationIds: ['a', 'b'], runs: [run('a', 1), run('b', 0.4)] });
    expect(uneven).toBeCloseTo(unwatered + 0.4 / 4, 6);
  });

  it('follows each part from its own state: water on one moistens no other', () => {
    const stateBefore = { 'storeMm@a': 3.5, 'storeMm@b': 2 };
    const dryPart = leftAtNoon({ stationIds: ['b'], runs: [], stateBefore: { storeMm: 2 } });
    const runs = [run('a', 1)];
    expect(leftAtNoon({ stationIds: ['a', 'b'], runs, stateBefore })).toBeCloseTo(dryPart, 10);
    // The driest part at first is not the driest at the look when it alone was watered.
    const turned = leftAtNoon({ stationIds: ['a', 'b'], runs: [run('b', 1.8)], stateBefore });
    const other = leftAtNoon({ stationIds: ['a'], runs: [], stateBefore: { storeMm: 3.5 } });
    expect(turned).toBeCloseTo(other, 10);
  });

  it('without stations is one part, whatever waters it', () => {
    expect(leftAtNoon({ stationIds: [], runs: [run('a', 1)] })).toBeCloseTo(unwatered + 0.25, 6);
  });
});

describe('a bed whose sand may be any of several', () => {
  const small = plainStore({ capacityMm: 2, feedMmPerH: 0 });
  const members = [
    { store, weightFraction: 0.5, lossFactor: 1, nightFraction: 0 },
    { store, weightFraction: 0.25, lossFactor: 1.2, nightFraction: 0 },
    { store: small, weightFraction: 0.25, lossFactor: 1, nightFraction: 1 },
  ];
  const library = libraryStore(members);
  const asked = { ...followed, store: library, stationIds: ['a', 'b'] };
  const runs = [run('a', 1), run('b', 0.4)];

  it('is followed by each, by its own state, store and loss', () => {
    const stateBefore = { storeMm1: 3, storeMm2: 2.5, storeMm3: 1.5 };
    const left = leftByMembers({ ...asked, stateBefore, runs });
    const alone = (storeMm: number) =>
      leftAtNoon({ stationIds: ['b'], runs, stateBefore: { storeMm } });
    expect(left[0]).toBeCloseTo(alone(3), 10);
    // What the first has lost by then, the second has lost a fifth more of.
    const lostMm = 3.4 - 4 * (left[0] ?? 0);
    expect(left[1]).toBeCloseTo((2.9 - 1.2 * lostMm) / 4, 10);
    expect(left[2]).toBeLessThanOrEqual((1.9 - lostMm) / 2 + 1e-10);
  });

  it('knows of no weights: what is thought of the sands changes nothing of what each expects', () => {
    const other = libraryStore(
      members.map((one, index) => ({ ...one, weightFraction: 1 + index })),
    );
    const stateBefore = { storeMm1: 3, storeMm2: 2.5, storeMm3: 1.5 };
    expect(leftByMembers({ ...asked, store: other, stateBefore, runs })).toEqual(
      leftByMembers({ ...asked, stateBefore, runs }),
    );
  });
});
