import { describe, expect, it } from 'vitest';
import { flowByHour, startGroups } from '../../../../../daemon/faces/web/page/day-figures.ts';
import type { LineCycle, RunState } from '../../../../../daemon/faces/web/views/today-view.ts';

const HOUR_MS = 3_600_000;

describe('the pump as a table', () => {
  it('gives the most and the mean of each hour, over steps that cross it', () => {
    const flow = {
      atMs: [0, HOUR_MS / 2, 1.5 * HOUR_MS, 2 * HOUR_MS],
      flowLPerMin: [0, 100, 40, 0],
      limitLPerMin: 120,
    };
    expect(flowByHour(flow, [0, HOUR_MS, 2 * HOUR_MS, 3 * HOUR_MS])).toEqual([
      { startMs: 0, mostLPerMin: 100, meanLPerMin: 50 },
      { startMs: HOUR_MS, mostLPerMin: 100, meanLPerMin: 70 },
      { startMs: 2 * HOUR_MS, mostLPerMin: 0, meanLPerMin: 0 },
    ]);
  });

  it('gives nothing for no hours', () => {
    expect(flowByHour({ atMs: [], flowLPerMin: [], limitLPerMin: 1 }, [0])).toEqual([]);
  });
});

/** An invented cycle: only what the card reads. */
function cycle(startMs: number, state: RunState, runMin: number): LineCycle {
  return { startMs, state, runMin, watering: `${runMin} min` } as LineCycle;
}

describe('the starts of a card', () => {
  it('are gathered by state and length, each in the order of the day', () => {
    const cycles = [
      cycle(50, 'planned', 5),
      cycle(10, 'missed', 2.5),
      cycle(40, 'planned', 2.5),
      cycle(20, 'missed', 2.5),
      cycle(30, 'planned', 5),
    ];
    expect(startGroups(cycles)).toEqual([
      { state: 'missed', watering: '2.5 min', startMs: [10, 20] },
      { state: 'planned', watering: '5 min', startMs: [30, 50] },
      { state: 'planned', watering: '2.5 min', startMs: [40] },
    ]);
  });

  it('loses none and invents none', () => {
    const cycles = Array.from({ length: 24 }, (_, index) =>
      cycle(index, index % 3 === 0 ? 'ran' : 'accepted', 2.5 * (1 + (index % 2))),
    );
    const starts = startGroups(cycles).flatMap((group) => group.startMs);
    expect(starts.toSorted((a, b) => a - b)).toEqual(cycles.map((one) => one.startMs));
  });
});
