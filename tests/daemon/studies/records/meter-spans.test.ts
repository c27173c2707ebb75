import { describe, expect, it } from 'vitest';
import type { RunRecord } from '../../../../daemon/studies/records/water-records.ts';
import { meterSpans } from '../../../../daemon/studies/records/water-sums.ts';

const HOUR_MS = 3_600_000;
const run = (startMs: number, volumeL: number, basis: RunRecord['basis'] = 'reported') =>
  ({ startMs, countedS: 3600, volumeL, basis }) as RunRecord;
const reading = (readMs: number, volumeL: number) => ({
  meterReadingId: 1,
  atMs: readMs,
  who: 'A. Keeper (invented)',
  readMs,
  volumeL,
  note: '',
});
const spansOf = (
  meterL: number,
  runs: RunRecord[],
  corrections: Parameters<typeof meterSpans>[1]['corrections'] = [],
) =>
  meterSpans([reading(0, 5000), reading(10 * HOUR_MS, 5000 + meterL)], {
    runs,
    hand: [],
    corrections,
  });

describe('the meter against the records', () => {
  it.each([
    [1000, 0, { code: 'agrees', within: 5 }],
    [1040, 4, { code: 'agrees', within: 5 }],
    [1200, 20, { code: 'more' }],
    [700, -30, { code: 'less' }],
  ])('%s L by the meter where 1000 L are computed', (meterL, differencePct, meaning) => {
    const [span] = spansOf(meterL, [run(HOUR_MS, 600), run(3 * HOUR_MS, 400)]);
    expect(span?.differencePct).toBeCloseTo(differencePct, 9);
    expect(span?.meaning).toEqual(meaning);
  });

  it('counts of a run over a reading only its part', () => {
    const [span] = spansOf(0, [run(-HOUR_MS / 2, 600), run(10 * HOUR_MS, 400)]);
    expect(span?.sprinklersL).toBeCloseTo(300, 9);
  });

  it('says that runs were assumed, where they may be the cause', () => {
    const [span] = spansOf(500, [run(HOUR_MS, 750, 'assumed'), run(3 * HOUR_MS, 250)]);
    expect(span?.assumedL).toBe(750);
    expect(span?.meaning).toEqual({ code: 'less_assumed', pct: 75 });
  });

  it('gives no percentage where there is nothing to compare', () => {
    expect(spansOf(-100, [run(HOUR_MS, 600)])[0]).toMatchObject({ differencePct: null });
    expect(spansOf(-100, [run(HOUR_MS, 600)])[0]?.meaning).toEqual({ code: 'fell' });
    expect(spansOf(100, [])[0]?.meaning).toEqual({ code: 'unrecorded' });
    expect(spansOf(0, [])[0]?.meaning).toEqual({ code: 'nothing' });
  });

  it('takes a corrected reading', () => {
    const correction = {
      correctionId: 1,
      atMs: 0,
      who: 'A. Keeper (invented)',
      why: 'misread',
      what: 'meter' as const,
      subject: '',
      startMs: 10 * HOUR_MS,
      recorded: 5900,
      correct: 6000,
    };
    const [span] = spansOf(900, [run(HOUR_MS, 1000)], [correction]);
    expect(span).toMatchObject({ meterL: 1000, isCorrected: true, differencePct: 0 });
  });
});
