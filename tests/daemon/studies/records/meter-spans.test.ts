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
    [1000, 0, 'Agrees within 5 %.'],
    [1040, 4, 'Agrees within 5 %.'],
    [1200, 20, 'a leak'],
    [700, -30, 'stations that did not open'],
  ])('%s L by the meter where 1000 L are computed', (meterL, differencePct, words) => {
    const [span] = spansOf(meterL, [run(HOUR_MS, 600), run(3 * HOUR_MS, 400)]);
    expect(span?.differencePct).toBeCloseTo(differencePct, 9);
    expect(span?.words).toContain(words);
  });

  it('counts of a run over a reading only its part', () => {
    const [span] = spansOf(0, [run(-HOUR_MS / 2, 600), run(10 * HOUR_MS, 400)]);
    expect(span?.sprinklersL).toBeCloseTo(300, 9);
  });

  it('says that runs were assumed, where they may be the cause', () => {
    const [span] = spansOf(500, [run(HOUR_MS, 750, 'assumed'), run(3 * HOUR_MS, 250)]);
    expect(span?.assumedL).toBe(750);
    expect(span?.words).toContain('75 % of the volume is assumed');
  });

  it('gives no percentage where there is nothing to compare', () => {
    expect(spansOf(-100, [run(HOUR_MS, 600)])[0]).toMatchObject({ differencePct: null });
    expect(spansOf(-100, [run(HOUR_MS, 600)])[0]?.words).toContain('stands lower');
    expect(spansOf(100, [])[0]?.words).toContain('the records have none');
    expect(spansOf(0, [])[0]?.words).toContain('No water');
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
