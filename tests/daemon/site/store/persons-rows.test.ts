import { describe, expect, it } from 'vitest';
import {
  addHandWater,
  firstGivenOfLogged,
  handWaterSince,
} from '../../../../daemon/site/store/hand-records.ts';
import {
  addDayCall,
  addStageMove,
  dayCallsOf,
  stageMoves,
} from '../../../../daemon/site/store/instructions.ts';
import { scratchDatabase } from '../../../scratch-site.ts';

describe('what persons put down', () => {
  it('gives stage moves back as they were, oldest first', () => {
    const db = scratchDatabase();
    const first = {
      atMs: 1,
      who: 'A. Keeper',
      why: 'haze of green',
      bedId: 'g1',
      patch: null,
      shareFraction: null,
      stage: 'emergence' as const,
    };
    const second = { ...first, atMs: 2, patch: 'edge', shareFraction: 0.15 };
    addStageMove(db, first);
    addStageMove(db, second);
    expect(stageMoves(db)).toEqual([first, second]);
    expect(() => db.exec("UPDATE stage_move SET stage = 'knitting'")).toThrow(/only ever added to/);
  });

  it('gives the calls of one site day', () => {
    const db = scratchDatabase();
    const call = {
      atMs: 1,
      who: 'A. Keeper',
      siteDay: '2026-07-01',
      hotterK: 3,
      windFraction: 1.5,
      cloudierFraction: -0.1,
    };
    addDayCall(db, call);
    addDayCall(db, { ...call, siteDay: '2026-07-02' });
    addDayCall(db, { ...call, atMs: 2, hotterK: 0 });
    expect(dayCallsOf(db, '2026-07-01')).toEqual([call, { ...call, atMs: 2, hotterK: 0 }]);
    expect(() => db.exec('DELETE FROM day_call')).toThrow(/only ever added to/);
  });

  it('gives hand watering in order of time, and the first of what was logged late', () => {
    const db = scratchDatabase();
    const water = {
      atMs: 100,
      who: 'A. Keeper',
      bedId: 'g1',
      stationId: null,
      startMs: 90,
      runS: 600,
      grossMm: 2,
    };
    addHandWater(db, water);
    addHandWater(db, { ...water, atMs: 120, startMs: 40, stationId: 's1' });
    expect(handWaterSince(db, 40).map((one) => one.startMs)).toEqual([40, 90]);
    expect(handWaterSince(db, 41)).toEqual([water]);
    expect(firstGivenOfLogged(db, 101)).toBe(40);
    expect(firstGivenOfLogged(db, 121)).toBeNull();
    expect(() => db.exec('DELETE FROM hand_water')).toThrow(/only ever added to/);
  });
});
