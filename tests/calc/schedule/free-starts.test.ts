import { describe, expect, it } from 'vitest';
import { freeStarts, type TimeSpan } from '../../../calc/schedule/gap-filling.ts';
import { at, type HandBed, laidDay, minutesOf } from '../../laid-day.ts';

type Change = Parameters<typeof laidDay>[1];

/** Dry from the begin on, and watered by one turn of two minutes at most. */
const dry = (change: Partial<HandBed> = {}): HandBed => ({
  id: 'a',
  storeMm: -0.1,
  doseCapMm: 0.7,
  ...change,
});
const short = { firstStartMs: at(10), lastEndMs: at(20), nextFirstStartMs: at(240) };

function found(
  beds: readonly HandBed[],
  change: Change = {},
  within: readonly TimeSpan[] | null = null,
) {
  const layout = laidDay(beds, change);
  const [bed] = layout.beds;
  if (bed === undefined) throw new Error('no bed');
  const tries = { most: 1000 };
  const { steps } = freeStarts(layout, bed, tries, within);
  return { steps, tried: 1000 - tries.most, layout };
}
const startsOf = (...given: Parameters<typeof found>) =>
  found(...given).steps.flatMap(({ doses }) =>
    doses.flatMap(({ starts }) => starts.map((ms) => minutesOf(ms))),
  );
const halves = (from: number, to: number) =>
  Array.from({ length: (to - from) * 2 + 1 }, (_, index) => from + index / 2);

describe('the starts at which a bed’s doses are free', () => {
  it('are those within the hours of water, from the plan’s start on', () => {
    const { steps, tried } = found([dry()], { window: short, startMs: at(11.8) });
    expect(steps.map(({ stepMs }) => minutesOf(stepMs))).toEqual([10, 15]);
    expect(startsOf([dry()], { window: short, startMs: at(11.8) })).toEqual(halves(12, 18));
    expect(tried).toBe(13);
    expect(startsOf([dry()], { window: short })).toEqual(halves(10, 18));
  });

  it('leave a keep-off and what the supply carries of others alone', () => {
    const off = dry({ keepOffs: [[14, 16, 'mow']] });
    expect(startsOf([off], { window: short })).toEqual([...halves(10, 12), ...halves(16, 18)]);
    const other: HandBed = { id: 'b', cycles: [[14]] };
    const onePump = { window: short, limits: { pumpFlowLPerMin: 150 } };
    expect(startsOf([dry(), other], onePump)).toEqual([...halves(10, 12), ...halves(16, 18)]);
    expect(startsOf([dry({ cycles: [[14]] })], onePump), 'its own').toEqual(halves(10, 18));
  });

  it('put the bed’s own cycles back into the supply', () => {
    const { layout } = found([dry({ cycles: [[14]] })], { window: short });
    expect(layout.timeline.starts).toEqual([at(14)]);
  });

  it('end with the last dry moment', () => {
    const rained = dry({
      rainMm: (step) => (step === 3 ? 9 : 0),
      lossMm: (step) => (step < 10 ? 0.05 : 0),
    });
    expect(startsOf([rained]).at(-1)).toBe(19.5);
    expect(startsOf([dry({ storeMm: 1.5, lossMm: () => 0.01 })])).toEqual([]);
  });

  it('are told for the largest dose first, each as long as it lasts', () => {
    const { steps } = found([dry({ doseCapMm: 2 })], { window: short });
    const last = steps
      .at(-1)
      ?.doses.map(({ dose, starts }) => [dose.block.rotations, starts.map((ms) => minutesOf(ms))]);
    // The three turns of six minutes have to begin by 14, the two by 16, the one by 18.
    expect(last).toEqual([
      [2, halves(15, 16)],
      [1, halves(15, 18)],
    ]);
    expect(steps[0]?.doses.map(({ dose }) => dose.block.rotations)).toEqual([3, 2, 1]);
    expect(steps[0]?.doses[0]?.starts.map((ms) => minutesOf(ms))).toEqual(halves(10, 14));
  });

  it('are those of the air of their step', () => {
    const driftAt = (ms: number) => (ms < at(15) ? 0 : 0.5);
    const { steps } = found([dry()], { window: short, driftAt });
    const netMm = steps.map(({ doses }) => doses.map(({ dose }) => dose.block.netMm));
    expect(netMm[0]?.[0]).toBeCloseTo(0.6, 9);
    expect(netMm[1]?.[0]).toBeCloseTo(0.6, 9);
    expect(steps[1]?.doses[0]?.dose.block.rotations).toBe(2);
    expect(netMm[1]?.[1]).toBeCloseTo(0.3, 9);
  });
});

describe('the starts near a stretch', () => {
  const within = [{ startMs: at(30), endMs: at(32) }];

  it('are those whose cycle comes within a minute of it', () => {
    expect(startsOf([dry()], {}, within)).toEqual(halves(27.5, 32.5));
    expect(found([dry()], {}, within).tried).toBe(11);
    expect(startsOf([dry()], {}, [])).toEqual([]);
  });

  it('reach as far as valves or the pump have to wait', () => {
    expect(startsOf([dry()], { limits: { startGapS: 90 } }, within)).toEqual(halves(27, 33));
    expect(startsOf([dry()], { limits: { pumpRestS: 150 } }, within)).toEqual(halves(26, 34));
  });

  it('are found for long cycles that begin well before it', () => {
    const long = dry({ doseCapMm: 2 });
    const three = found([long], {}, within).steps.flatMap(({ doses }) =>
      doses.filter(({ dose }) => dose.block.rotations === 3).flatMap(({ starts }) => starts),
    );
    expect(three.map((ms) => minutesOf(ms))).toEqual(halves(23.5, 32.5));
  });
});

describe('the doses of a bed whose parts differ', () => {
  it('are those of one depth for all, and what its own cycles give where the cap allows it', () => {
    const stations = [{}, { precipitationRateMmPerH: 12 }];
    const doses = (cycles: HandBed['cycles'], doseCapMm: number) => {
      const bed = dry({
        stations,
        isInParts: true,
        doseCapMm,
        ...(cycles === undefined ? {} : { cycles }),
      });
      const { steps } = found([bed], { window: short });
      return steps[0]?.doses.map(({ dose }) => dose.block.runs.map((run) => run.rotations));
    };
    // 0.6 and 0.4 mm in a turn.
    expect(doses([], 1.3)).toEqual([
      [2, 3],
      [1, 1],
    ]);
    expect(doses([[14, 1, 3]], 1.3)).toEqual([
      [2, 3],
      [1, 3],
      [1, 1],
    ]);
    expect(doses([[14, 1, 3]], 1.1)).toEqual([[1, 1]]);
  });
});
