import { describe, expect, it } from 'vitest';
import { shareWater } from '../../../calc/schedule/dry-beds.ts';
import { type HandBed, laidDay, placesOf } from '../../laid-day.ts';

/** Shares the water of a day on which no litre more may run than what is laid. */
function shared(beds: readonly HandBed[], most = 10_000) {
  const turns = beds.flatMap((bed) => bed.cycles ?? []).map(([, given = 1]) => given);
  const dayAllowanceL = 200 * turns.reduce((sum, one) => sum + one, 0);
  const layout = laidDay(beds, { limits: { dayAllowanceL } });
  const hasChanged = shareWater(layout, { most });
  return { hasChanged, places: placesOf(layout), layout };
}

/** 1 mm is gone at 100 min of 240: 135 dry minutes without water, 75 with a turn, 15 with two. */
const dry = (id: string, ...cycles: [number, ...number[]][]): HandBed => ({ id, cycles });
/** Never dry. */
const easy = (id: string, ...cycles: [number, ...number[]][]): HandBed => ({
  ...dry(id, ...cycles),
  lossMm: () => 0.01,
});

describe('water that is short', () => {
  it('goes to a bed without any, where the drier of the two is less dry for it', () => {
    const { hasChanged, places } = shared([dry('t'), dry('g', [60], [120])]);
    expect(hasChanged).toBe(true);
    expect(places).toEqual(['t 60:1', 'g 120:1']);
  });

  it('goes to a bed that has some only where it saves more than it costs', () => {
    // 75 and 15 dry minutes would become 15 and 75.
    expect(shared([dry('t', [90]), dry('g', [60], [120])]).hasChanged).toBe(false);
    const { hasChanged, places } = shared([dry('t', [90]), easy('g', [10], [50])]);
    expect(hasChanged).toBe(true);
    expect(places).toEqual(['t 10:1', 't 90:1', 'g 50:1']);
  });

  it('is not taken from a bed that has one cycle, nor from one that is as dry', () => {
    expect(shared([dry('t'), easy('g', [50])]).places).toEqual(['g 50:1']);
    expect(shared([dry('t'), dry('g', [60])]).hasChanged).toBe(false);
    expect(shared([dry('t', [90]), dry('g', [60])]).hasChanged).toBe(false);
  });

  it('is taken from the least dry first, of equals from the first by id', () => {
    const three = shared([dry('t'), dry('g', [60], [120]), easy('h', [55], [90])]);
    expect(three.places).toContain('g 60:1');
    expect(three.places).not.toContain('h 55:1');
    const equal = shared([dry('t', [30]), easy('h', [80], [120]), easy('g', [85], [130])]);
    expect(equal.places.filter((one) => one.startsWith('g')).length).toBeLessThan(2);
  });

  it('goes to the driest bed first, of equals to the first by id', () => {
    const beds = [dry('u'), dry('t'), easy('g', [60], [120])];
    expect(shared(beds).places).toEqual(['t 60:1', 'g 120:1']);
    const drier = [{ ...dry('u'), storeMm: 0.9 }, dry('t'), easy('g', [60], [120])];
    expect(shared(drier).places).toEqual(['u 60:1', 'g 120:1']);
  });

  it('does not hang on the order of the beds', () => {
    const takers = [dry('u'), dry('t')];
    const givers = [easy('h', [60], [110]), easy('g', [64], [120])];
    const own = (places: readonly string[], id: string) =>
      places.filter((one) => one.startsWith(id));
    for (const beds of [
      [...takers, ...givers],
      [...takers.toReversed(), ...givers.toReversed()],
      [...givers, ...takers.toReversed()],
    ]) {
      const { places } = shared(beds);
      // The first by id takes the first cycle of the first by id, as late as that leaves room.
      expect(own(places, 't')).toEqual(['t 65:1']);
      expect(own(places, 'u')).toEqual(['u 60:1']);
      expect(own(places, 'g')).toEqual(['g 120:1']);
      expect(own(places, 'h')).toEqual(['h 110:1']);
    }
  });

  it('stays where no work may be done, and where no bed is dry', () => {
    expect(shared([dry('t'), easy('g', [60], [120])], 0).hasChanged).toBe(false);
    expect(shared([easy('t'), easy('g', [60], [120])]).hasChanged).toBe(false);
  });

  it('stays booked once and no more', () => {
    const { layout } = shared([dry('t'), dry('g', [60], [120])]);
    expect(layout.timeline.starts).toHaveLength(2);
    expect(layout.timeline.water.bookedL).toBeCloseTo(400, 9);
    const left = shared([dry('t', [90]), dry('g', [60], [120])]).layout;
    expect(left.timeline.starts).toHaveLength(3);
    expect(left.timeline.water.bookedL).toBeCloseTo(600, 9);
  });
});
