import { describe, expect, it } from 'vitest';
import { flowByHour } from '../../../../daemon/web/page/flow-by-hour.ts';

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
