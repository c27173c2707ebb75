import { describe, expect, it } from 'vitest';
import type { Run } from '../../../../calc/schedule/run.ts';
import type { Site } from '../../../../calc/schedule/site.ts';
import { countedRuns } from '../../../../daemon/planning/applied-water.ts';
import type { Correction } from '../../../../daemon/site/store/hand-records.ts';
import type { RunState, RunStateName } from '../../../../daemon/site/store/run-state.ts';
import { runRecords } from '../../../../daemon/studies/records/water-records.ts';
import { recordsRig } from './records-rig.ts';

const siteOf = () => recordsRig().config.site;
const NOON_MS = Date.parse('2026-07-01T12:00:00-07:00');
const NOW_MS = NOON_MS + 6 * 3_600_000;
const RULE = { lateMs: 600_000, flowOffFraction: 0.25 };

function runAt(minute: number, stationId = 's-1a'): Run {
  const startMs = NOON_MS + minute * 60_000;
  return {
    bedId: 'bed-1',
    stationId,
    startMs,
    runS: 240,
    rotations: 2,
    grossMm: 1.2,
    netMm: 1,
    cycle: 1,
  };
}

function stateOf(
  run: Run,
  state: RunStateName,
  runS: number | null,
  flowLPerMin: number | null = null,
): RunState {
  const actual =
    runS === null
      ? null
      : { output: 'file', startMs: run.startMs, runS, flowLPerMin, atMs: run.startMs + 300_000 };
  const withoutReport = state === 'ran' ? 'missing' : state;
  const outputs = [{ output: 'file', state: 'sent' as const }];
  return { run, siteDay: '2026-07-01', revision: 1, state, withoutReport, actual, outputs };
}

function recordsOf(site: Site, runs: RunState[], corrections: Correction[] = []) {
  return runRecords(
    { runs, strays: [] },
    {
      site,
      corrections,
      rule: RULE,
      nowMs: NOW_MS,
      shareOf: () => ({ drainedFraction: 0.1 }),
      driftOf: () => 0.05,
    },
  );
}

const correction = (startMs: number, correct: number, correctionId = 1): Correction => ({
  correctionId,
  atMs: NOW_MS,
  who: 'A. Keeper (invented)',
  why: 'seen',
  what: 'ran',
  subject: 's-1a',
  startMs,
  recorded: null,
  correct,
});

describe('what counts of a run', () => {
  it.each<[RunStateName, number | null, string, number]>([
    ['ran', 200, 'reported', 200],
    ['assumed', null, 'assumed', 240],
    ['unknown', null, 'assumed', 240],
    ['missing', null, 'none', 0],
    ['withdrawn', null, 'none', 0],
    ['missed', null, 'none', 0],
    ['rejected', null, 'none', 0],
  ])('%s counts as the planner counts it', (state, runS, basis, countedS) => {
    const site = siteOf();
    const states = [stateOf(runAt(0), state, runS)];
    const [record] = recordsOf(site, states);
    expect(record).toMatchObject({ basis, countedS, confirmedS: 240 });
    const [planner] = countedRuns(
      { runs: states, strays: [] },
      { fromMs: 0, nowMs: NOW_MS, site, rule: RULE, driftAt: () => 0 },
    );
    expect(record?.grossMm).toBeCloseTo(planner?.grossMm ?? 0, 9);
    expect(record?.netMm).toBeCloseTo(planner?.netMm ?? 0, 9);
    // 100 L/min in this invented site.
    expect(record?.volumeL).toBeCloseTo((100 * countedS) / 60, 9);
  });

  it('takes a weak flow for what it is', () => {
    const [record] = recordsOf(siteOf(), [stateOf(runAt(0), 'ran', 240, 50)]);
    expect(record?.volumeL).toBeCloseTo(200, 9);
    expect(record?.netMm).toBeCloseTo(0.5, 9);
  });

  it('lets the newest correction count and keeps what stood first', () => {
    const run = runAt(0);
    const site = siteOf();
    const states = [stateOf(run, 'assumed', null)];
    const [none] = recordsOf(site, states, [correction(run.startMs, 0)]);
    expect(none).toMatchObject({ basis: 'corrected', countedS: 0, netMm: 0, volumeL: 0 });
    expect(none?.corrected).toEqual({ correctionId: 1, beforeS: 240 });
    const [half] = recordsOf(site, states, [
      correction(run.startMs, 0),
      correction(run.startMs, 120, 2),
    ]);
    expect(half).toMatchObject({ countedS: 120, volumeL: 200 });
    expect(half?.corrected).toEqual({ correctionId: 2, beforeS: 240 });
    expect(half?.grossMm).toBeCloseTo((18 * 120) / 3600, 9);
  });

  it('adds a run that no record has', () => {
    const records = recordsOf(
      siteOf(),
      [stateOf(runAt(0), 'assumed', null)],
      [correction(NOON_MS + 3_600_000, 60)],
    );
    expect(records).toHaveLength(2);
    expect(records[1]).toMatchObject({
      basis: 'corrected',
      countedS: 60,
      confirmedS: 0,
      volumeL: 100,
    });
  });
});
