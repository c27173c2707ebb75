import { describe, expect, it } from 'vitest';
import { obstructedStarts } from '../../../calc/schedule/shortages.ts';
import { at, type HandBed, laidDay, minutesOf } from '../../laid-day.ts';

/** The first bed's obstructed starts: `minute kind`. */
function causes(beds: readonly HandBed[], change: Parameters<typeof laidDay>[1] = {}) {
  const layout = laidDay(beds, change);
  const [bed] = layout.beds;
  if (bed === undefined) throw new Error('no bed');
  return obstructedStarts(layout, bed).map(({ atMs, by }) => `${minutesOf(atMs)} ${by.kind}`);
}
const every = (fromMin: number, toMin: number, kind: string) =>
  Array.from({ length: (toMin - fromMin) / 5 + 1 }, (_, index) => `${fromMin + 5 * index} ${kind}`);

/** 1 mm: one sand in five is below its limit from 75 min on. */
const bed = (change: Partial<HandBed> = {}): HandBed => ({ id: 'a', ...change });

describe('what stands in the way around a shortage', () => {
  it('is nothing where its smallest cycle could start', () => {
    expect(causes([bed()]).filter((one) => Number.parseInt(one, 10) <= 175)).toEqual([]);
  });

  it('is a keep-off, from a quarter of an hour before the shortage on', () => {
    const off = bed({ keepOffs: [[0, 100, 'mow']] });
    expect(causes([off])).toEqual(every(60, 95, 'keep_off'));
  });

  it('is the supply that others take', () => {
    const long: HandBed = { id: 'b', cycles: [[72, 7]] };
    const onePump = { limits: { pumpFlowLPerMin: 150 } };
    // It runs from 72 to 86 min: a start at 70 ends as it begins.
    expect(causes([bed(), long], onePump)).toEqual(every(75, 85, 'pump'));
  });

  it('is the hours, before the first start and where it would end after the last', () => {
    const window = { firstStartMs: at(70), lastEndMs: at(97), nextFirstStartMs: at(240) };
    expect(causes([bed()], { window })).toEqual(every(60, 65, 'before_hours'));
    const ends = { firstStartMs: at(0), lastEndMs: at(97), nextFirstStartMs: at(240) };
    expect(causes([bed()], { window: { ...ends, sunsetMs: at(110) } })).toEqual([
      '100 day_over',
      '105 day_over',
    ]);
    expect(causes([bed()], { window: { ...ends, lastEndMs: at(96.5) } })).toEqual(['95 day_over']);
  });

  it('is the bed’s own rest, before and after a cycle', () => {
    const few = bed({ stations: [{ precipitationRateMmPerH: 3 }], cycles: [[100]] });
    // 0.1 mm at 100 min; rest from 102 to 132, and from 68 on a cycle would not end in time for it.
    expect(causes([few])).toEqual(every(70, 130, 'rest'));
    const rested = bed({ cycles: [] });
    expect(causes([rested], { startMs: at(81) })).toEqual(every(60, 80, 'rest'));
  });

  it('begins where the first sand of five is dry, and not before', () => {
    const still = bed({
      storeMm: 0.4,
      lossMm: (step) => (step < 20 ? 0 : 0.05),
      keepOffs: [[0, 240, 'mow']],
    });
    // It has 0.1 mm and loses from 100 min on: at its limit at 110, below it at 115.
    expect(causes([still])[0]).toBe('100 keep_off');
    expect(causes([{ ...still, storeMm: 0.2 }])[0], 'losing or not').toBe('0 keep_off');
    const gone = bed({
      storeMm: 0.2,
      lossMm: (step) => (step < 6 ? 0.05 : step < 30 ? 0 : 0.05),
      keepOffs: [[0, 240, 'mow']],
    });
    expect(causes([gone])).toContain('60 keep_off');
  });
});
