import { describe, expect, it } from 'vitest';
import type { Correction } from '../../../../daemon/site/store/hand-records.ts';
import { handRecords } from '../../../../daemon/studies/records/water-records.ts';
import { recordsRig } from './records-rig.ts';

const AT_MS = Date.parse('2026-07-01T13:10:00-07:00');
const WHO = 'B. Hand (invented)';
const hose = {
  atMs: AT_MS,
  who: WHO,
  bedId: 'bed-1',
  stationId: null,
  startMs: AT_MS,
  runS: 600,
  grossMm: 2,
};
const station = { ...hose, stationId: 's-1a', runS: 120, grossMm: 0.6 };

const correction = (subject: string, correct: number): Correction => ({
  correctionId: 7,
  atMs: AT_MS,
  who: WHO,
  why: 'slip of the pen',
  what: 'water',
  subject,
  startMs: AT_MS,
  recorded: null,
  correct,
});

describe('water by hand', () => {
  it('counts a hose by depth and area, a station by flow and time over its share', () => {
    const { site } = recordsRig().config;
    const [byHose, byStation] = handRecords([hose, station], { site, corrections: [] });
    // 2 mm on 450 m²; 100 L/min for two minutes over one of two stations.
    expect(byHose).toMatchObject({ bedMm: 2, volumeL: 900, corrected: null });
    expect(byStation).toMatchObject({ bedMm: 0.3, volumeL: 200, corrected: null });
  });

  it('counts as put right, and keeps what was logged', () => {
    const { site } = recordsRig().config;
    const corrections = [correction('bed-1', 9), correction('bed-1', 1), correction('s-1a', 60)];
    const [byHose, byStation] = handRecords([hose, station], { site, corrections });
    expect(byHose).toMatchObject({ bedMm: 1, volumeL: 450 });
    expect(byHose?.corrected).toEqual({ correctionId: 7, beforeMm: 2 });
    expect(byStation).toMatchObject({ runS: 60, bedMm: 0.15, volumeL: 100 });
    expect(byStation?.corrected?.beforeMm).toBeCloseTo(0.3, 9);
  });
});
