import { describe, expect, it } from 'vitest';
import {
  type DayScale,
  hourRow,
  markRow,
  nowAndLegend,
  nowRow,
  storeBar,
} from '../../../../daemon/faces/terminal/text-plots.ts';
import type { LineCycle } from '../../../../daemon/faces/web/views/today-view.ts';

const HOUR_MS = 3_600_000;
const timeOf = (ms: number) => new Date(ms).toISOString().slice(11, 16);
const SCALE: DayScale = { fromMs: 5 * HOUR_MS, hours: 4, cellsPerHour: 4 };
const cycle = (hour: number, state: LineCycle['state']) =>
  ({ startMs: hour * HOUR_MS, state }) as LineCycle;

describe('the bar of a store', () => {
  it.each([
    [1, '[##|#######]'],
    [0.5, '[##|##.....]'],
    [0.2, '[##|.......]'],
    [0.01, '[#.|.......]'],
    [0, '[..|.......]'],
    [-0.3, '[..|.......]'],
    [1.4, '[##|#######]'],
  ])('of %d mm in 1 mm with 0.2 mm in reserve is %s', (storeMm, bar) => {
    expect(storeBar({ storeMm, reserveMm: 0.2, capacityMm: 1 }, 10)).toBe(bar);
  });

  it('shows no reserve where none is kept, and nothing where nothing is held', () => {
    expect(storeBar({ storeMm: 0.5, reserveMm: 0, capacityMm: 1 }, 4)).toBe('[##..]');
    expect(storeBar({ storeMm: 0, reserveMm: 0, capacityMm: 0 }, 4)).toBe('[....]');
  });
});

describe('the day line in letters', () => {
  const day = { sunriseMs: 5.5 * HOUR_MS, sunsetMs: 8.75 * HOUR_MS };

  it('shades what is dark and kept off, and marks each cycle by its state', () => {
    const cycles = [cycle(6, 'ran'), cycle(7.25, 'planned'), cycle(8, 'missed')];
    const keepOffs = [{ bedId: 'a', startMs: 6.5 * HOUR_MS, endMs: 7 * HOUR_MS, why: 'mow' }];
    expect(hourRow(SCALE, timeOf)).toBe('05  06  07  08');
    expect(markRow(SCALE, day, { cycles, keepOffs })).toBe('::..#.==.o..x..:');
  });

  it('leaves hours out where they are too narrow for two digits', () => {
    expect(hourRow({ ...SCALE, cellsPerHour: 1 }, timeOf)).toBe('05 08');
  });

  it('puts now under its column, with its words on the side that has room', () => {
    expect(nowRow(SCALE, 5 * HOUR_MS, timeOf)).toBe('^ now 05:00');
    expect(nowRow(SCALE, 8.5 * HOUR_MS, timeOf)).toBe('    now 08:30 ^');
    expect(nowRow(SCALE, 9 * HOUR_MS, timeOf)).toBe('');
  });

  it('sets the legend beside now where both fit', () => {
    expect(nowAndLegend('^ now 05:00', 'o planned', 40)).toEqual(['^ now 05:00   o planned']);
    expect(nowAndLegend('             ^ now', 'o planned', 20)).toEqual(['o planned    ^ now']);
    expect(nowAndLegend('     ^ now', 'o planned', 12)).toEqual(['     ^ now', 'o planned']);
    expect(nowAndLegend('', 'o planned', 12)).toEqual(['o planned']);
  });
});
