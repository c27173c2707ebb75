import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { drainedColumn, dryLimitFromDrained, fullColumn } from '../../../calc/sand/bed-column.ts';
import {
  type AppliedWater,
  lastMomentWater,
  referenceVerdict,
  type Trial,
} from '../../../calc/sand/reference-column.ts';
import { copyColumn, storedMm } from '../../../calc/sand/richards-column.ts';
import { sandClass } from '../../../calc/sand/sand-classes.ts';
import { fallonReferenceMm } from '../../bench/seedbed-model.ts';

const HOUR_MS = 3_600_000;
const MIN_MS = 60_000;
const WET_SOIL = 1.1;
const ROTATION_MS = 150_000;
/** 18 mm/h for one rotation, all of which arrives. */
const ROTATION_MM = 0.75;

const columns = new Map(
  ['coarse_open', 'medium_over_gravel'].map((sand) => [
    sand,
    drainedColumn(fullColumn(sandClass(sand).bed)),
  ]),
);

/**
 * Days of the published hourly reference ET of Fallon, Nevada, 2015-07-01 (Ref-ET output as carried
 * by the test data of the library RefET), from midnight, judged from 06:00 to 20:00.
 */
function trial(sand: string, days = 1) {
  const column = columns.get(sand);
  if (column === undefined) throw new Error(`no such column: ${sand}`);
  const daylight = Array.from({ length: days }, (_, day) => ({
    startMs: (24 * day + 6) * HOUR_MS,
    endMs: (24 * day + 20) * HOUR_MS,
  }));
  const hours = Array.from({ length: 24 * days }, (_, index) => ({
    startMs: index * HOUR_MS,
    demandMmPerH: WET_SOIL * (fallonReferenceMm[index % 24] ?? 0),
    rainMmPerH: 0,
  }));
  const given: Trial = {
    limit: dryLimitFromDrained(column),
    hours,
    daylight,
    fromMs: 0,
    toMs: 24 * days * HOUR_MS,
  };
  return { column: copyColumn(column), trial: given };
}

const dose = (hour: number, netMm: number): AppliedWater => ({
  startMs: hour * HOUR_MS,
  endMs: hour * HOUR_MS + 5 * MIN_MS,
  netMm,
});

const nothing = {
  lossMm: 0,
  evaporatedMm: 0,
  netMm: 0,
  rainMm: 0,
  belowSeedLayerMm: 0,
  drainedMm: 0,
  runoffMm: 0,
  daylightMin: 0,
  dryMin: 0,
  pondedMin: 0,
  firstDryMs: null,
};

describe('the referee', () => {
  it('sees a bed without water dry out, and from when on', () => {
    const { column, trial: given } = trial('coarse_open');
    const verdict = referenceVerdict(column, given, []);
    expect(verdict.dryMin).toBeGreaterThan(240);
    expect(verdict.daylightMin).toBeCloseTo(14 * 60, 6);
    expect(verdict.firstDryMs).toBeGreaterThan(6 * HOUR_MS);
    expect(verdict.firstDryMs).toBeLessThan(13 * HOUR_MS);
  });

  it('begins with nothing counted', () => {
    const { column, trial: given } = trial('coarse_open');
    const verdict = referenceVerdict(column, { ...given, toMs: given.fromMs }, []);
    expect(verdict).toEqual(nothing);
  });

  it('asks for as much as the air did, whatever the bed could give', () => {
    const { column, trial: given } = trial('coarse_open');
    const verdict = referenceVerdict(column, given, []);
    const askedMm = given.hours.reduce((sum, hour) => sum + hour.demandMmPerH, 0);
    expect(askedMm).toBeGreaterThan(5);
    expect(verdict.lossMm).toBeCloseTo(askedMm, 6);
    expect(verdict.evaporatedMm).toBeLessThan(askedMm);
  });

  it('counts no dry minute outside daylight', () => {
    const { column, trial: given } = trial('coarse_open');
    const dark = referenceVerdict(column, { ...given, daylight: [] }, []);
    expect(dark).toMatchObject({ dryMin: 0, daylightMin: 0, firstDryMs: null });
  });

  it('stops at the first dry moment when asked to', () => {
    const whole = trial('coarse_open');
    const { firstDryMs } = referenceVerdict(whole.column, whole.trial, []);
    const cut = trial('coarse_open');
    const verdict = referenceVerdict(cut.column, cut.trial, [], true);
    expect(verdict.firstDryMs).toBe(firstDryMs);
    expect(verdict.dryMin).toBeLessThan(3);
  });

  it('closes the balance of every millimetre, whatever is given', () => {
    fc.assert(
      fc.property(
        fc.array(
          fc.record({
            hour: fc.integer({ min: 0, max: 23 }),
            mm: fc.double({ min: 0.1, max: 6, noNaN: true }),
          }),
          { maxLength: 5 },
        ),
        fc.double({ min: 0, max: 3, noNaN: true }),
        (doses, rainMmPerH) => {
          const { column, trial: given } = trial('coarse_open');
          const hours = given.hours.map((hour, index) => ({
            ...hour,
            rainMmPerH: index === 15 ? rainMmPerH : 0,
          }));
          const applied = [...new Map(doses.map((one) => [one.hour, one])).values()]
            .sort((a, b) => a.hour - b.hour)
            .map(({ hour, mm }) => dose(hour, mm));
          const beforeMm = storedMm(column) + column.pondMm;
          const verdict = referenceVerdict(column, { ...given, hours }, applied);
          const afterMm = storedMm(column) + column.pondMm;
          const outMm = verdict.evaporatedMm + verdict.drainedMm + verdict.runoffMm;
          expect(verdict.netMm + verdict.rainMm - outMm).toBeCloseTo(afterMm - beforeMm, 3);
          expect(verdict.netMm).toBeCloseTo(
            applied.reduce((sum, one) => sum + one.netMm, 0),
            6,
          );
          expect(verdict.evaporatedMm).toBeLessThanOrEqual(verdict.lossMm + 1e-6);
        },
      ),
      { numRuns: 12, seed: 7 },
    );
  });

  it('sees water stand where more comes than the sand takes', () => {
    const { column, trial: given } = trial('medium_over_gravel');
    const flood = { startMs: 12 * HOUR_MS, endMs: 12 * HOUR_MS + 10 * MIN_MS, netMm: 160 };
    expect(referenceVerdict(column, given, [flood]).pondedMin).toBeGreaterThan(1);
    const calm = trial('medium_over_gravel');
    expect(referenceVerdict(calm.column, calm.trial, [dose(12, 1.5)]).pondedMin).toBe(0);
  });

  it('refuses weather with a gap', () => {
    const { column, trial: given } = trial('coarse_open');
    expect(() =>
      referenceVerdict(column, { ...given, hours: given.hours.slice(0, 5) }, []),
    ).toThrow(/no weather at/);
  });
});

describe('the watering at the last moment', () => {
  it.each(['coarse_open', 'medium_over_gravel'])(
    '%s: leaves no dry minute, and one rotation less would',
    (sand) => {
      const { column, trial: given } = trial(sand, 2);
      const beforeMm = storedMm(column);
      const { applied, verdict } = lastMomentWater(column, given, {
        durationMs: ROTATION_MS,
        netMmAt: () => ROTATION_MM,
      });
      expect(storedMm(column)).toBe(beforeMm);
      expect(verdict.dryMin).toBe(0);
      expect(verdict.netMm).toBeCloseTo(applied.length * ROTATION_MM, 6);
      const askedMm = given.hours.reduce((sum, hour) => sum + hour.demandMmPerH, 0);
      expect(verdict.lossMm).toBeCloseTo(askedMm, 6);
      expect(verdict.daylightMin).toBeCloseTo(2 * 14 * 60, 6);
      // Judged apart, its own water gives the same verdict.
      const again = referenceVerdict(copyColumn(column), given, applied);
      expect(again.dryMin).toBeLessThan(1);
      expect(again.drainedMm).toBeCloseTo(verdict.drainedMm, 1);
      for (const leftOut of [0, Math.floor(applied.length / 2)]) {
        if (applied.length === 0) break;
        const fewer = applied.filter((_, index) => index !== leftOut);
        expect(referenceVerdict(copyColumn(column), given, fewer).dryMin).toBeGreaterThan(1);
      }
    },
  );

  it('gives nothing before the sun rises or after it sets', () => {
    const { column, trial: given } = trial('coarse_open', 2);
    const { applied } = lastMomentWater(column, given, {
      durationMs: ROTATION_MS,
      netMmAt: () => ROTATION_MM,
    });
    expect(applied.length).toBeGreaterThan(10);
    for (const { startMs } of applied) {
      const hour = (startMs / HOUR_MS) % 24;
      expect(hour).toBeGreaterThanOrEqual(6);
      expect(hour).toBeLessThan(20);
    }
  });
});
