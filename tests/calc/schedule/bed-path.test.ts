import { describe, expect, it } from 'vitest';
import { bedPath } from '../../../calc/schedule/bed-path.ts';
import { bookSupply, supplyLoad } from '../../../calc/schedule/supply-timeline.ts';
import { at, type HandBed, laidDay, minutesOf } from '../../laid-day.ts';

/** `minute:turns` of the best day of the first bed, among what the others have booked. */
function path(beds: readonly HandBed[], change: Parameters<typeof laidDay>[1] = {}, fromMin = 0) {
  const layout = laidDay(beds, change);
  const [bed] = layout.beds;
  if (bed === undefined) throw new Error('no bed');
  const before = structuredClone(layout.timeline);
  const search = { ...layout.input, timeline: layout.timeline, fromMs: at(fromMin) };
  const found = bedPath(bed.placing, search);
  expect(layout.timeline, 'nothing is booked').toEqual(before);
  return found.map(({ startMs, block }) => ({
    minute: minutesOf(startMs),
    turns: block.runs.map((run) => run.rotations),
  }));
}

/** Sums of halves: 1 mm of 1.5, losing a sixteenth in five minutes; a turn brings half a one. */
const bed = (steps: number, change: Partial<HandBed> = {}): HandBed => ({
  id: 'a',
  stations: [{ precipitationRateMmPerH: 15 }],
  lossMm: (step) => (step < steps ? 1 / 16 : 0),
  ...change,
});

describe('the best day of one bed', () => {
  it('has no water where it stays above its reserve', () => {
    // 0.3125 mm are left after eleven steps, 0.25 after twelve, of a reserve of 0.3 mm.
    expect(path([bed(12)])).toEqual([]);
    expect(path([bed(13)])).toHaveLength(1);
  });

  it('has one cycle of as few turns as keep it from being short, once they have room', () => {
    const [one, ...others] = path([bed(20)]);
    expect(others).toEqual([]);
    expect(one?.turns).toEqual([1]);
    const [two, ...more] = path([bed(21)]);
    expect(more).toEqual([]);
    expect(two?.turns).toEqual([2]);
    // Room of 1 mm from 40 min on; below the reserve at 60.
    expect(two?.minute).toBeGreaterThanOrEqual(40);
    expect(two?.minute).toBeLessThanOrEqual(55);
  });

  it('has two where keep-offs leave no time for one, half an hour apart', () => {
    const off = bed(21, { keepOffs: [[30, 60, 'mow']] });
    const found = path([off]);
    expect(found.map(({ turns }) => turns)).toEqual([[1], [1]]);
    expect(found[0]?.minute).toBeLessThanOrEqual(28);
    expect(found[1]?.minute).toBeGreaterThanOrEqual(60);
    const close = path([bed(21, { doseCapMm: 0.5 })], { limits: { restMin: 58 } });
    expect(close).toHaveLength(2);
    expect((close[1]?.minute ?? 0) - (close[0]?.minute ?? 0)).toBeGreaterThanOrEqual(60);
  });

  it('starts within the hours of water, from an instant on', () => {
    const window = { firstStartMs: at(44), lastEndMs: at(180), nextFirstStartMs: at(240) };
    expect(path([bed(21)], { window })[0]?.minute).toBeGreaterThanOrEqual(45);
    expect(path([bed(21)], {}, 51)[0]?.minute).toBe(55);
    const early = { ...window, firstStartMs: at(0), lastEndMs: at(46.5) };
    expect(path([bed(21)], { window: early })[0]?.minute).toBe(40);
    const closed = { ...early, lastEndMs: at(43.5) };
    // Two turns of four minutes at 40 would end at 44; before that only one has room.
    expect(path([bed(21)], { window: closed }).map(({ turns }) => turns)).toEqual([[1]]);
  });

  it('looks no further than tomorrow’s first water', () => {
    const window = { firstStartMs: at(0), lastEndMs: at(180), nextFirstStartMs: at(55) };
    expect(path([bed(21)], { window })).toEqual([]);
    expect(path([bed(21)], { window: { ...window, nextFirstStartMs: at(60) } })).toHaveLength(1);
  });

  it('goes where the supply lets it', () => {
    const onePump = { limits: { pumpFlowLPerMin: 150 } };
    const long: HandBed = { id: 'b', cycles: [[38, 8]] };
    // The other runs from 38 to 54 min.
    expect(path([bed(21), long], onePump)[0]?.minute).toBe(55);
    expect(path([bed(21), { ...long, cycles: [[38, 4]] }], onePump)[0]?.minute).toBeGreaterThan(46);
  });

  it('gives less than the cap rather than what would drain', () => {
    const capped = path([bed(21, { doseCapMm: 0.5 })]);
    expect(capped.map(({ turns }) => turns)).toEqual([[1], [1]]);
    // Before 40 min two turns have no room.
    const soon = path([bed(21, { keepOffs: [[38, 240, 'mow']] })]);
    expect(soon.map(({ turns }) => turns)).toEqual([[1]]);
  });

  it('would rather be short than dry, whatever it costs in cycles', () => {
    const off = bed(40, { keepOffs: [[0, 75, 'mow']] });
    const [first] = path([off]);
    expect(first?.minute).toBe(75);
  });

  it('counts what the parts of a bed get by themselves', () => {
    const stations = [{ precipitationRateMmPerH: 15 }, { precipitationRateMmPerH: 7.5 }];
    const found = path([bed(21, { stations, isInParts: true })]);
    expect(found[0]?.turns).toEqual([2, 4]);
  });

  it('is the same for a supply that carries what it may', () => {
    const layout = laidDay([bed(21)], { limits: { dayAllowanceL: 400 } });
    const [one] = layout.beds;
    if (one === undefined) throw new Error('no bed');
    const search = { ...layout.input, timeline: layout.timeline, fromMs: at(0) };
    const [two] = bedPath(one.placing, search);
    expect(two?.block.rotations).toBe(2);
    if (two !== undefined) {
      bookSupply(layout.timeline, supplyLoad(layout.timeline, two.block), two.startMs);
    }
    expect(bedPath(one.placing, search)).toEqual([]);
  });
});
