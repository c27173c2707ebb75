import { describe, expect, it } from 'vitest';
import {
  type RoundRecord,
  recordedRound,
  unhealthyRounds,
} from '../../../daemon/service/jobs/job.ts';

const MIN_MS = 60_000;
const base: RoundRecord = {
  name: 'morning plan',
  every: 'minute',
  runningSinceMs: null,
  lastEndedMs: 0,
  tookMs: 1,
  fault: null,
  faultsInARow: 0,
  rounds: 1,
  faults: 0,
};

describe('unhealthyRounds', () => {
  it.each([
    ['just ended', {}, 1 * MIN_MS, []],
    ['late by little', {}, 3 * MIN_MS, []],
    ['forgotten', {}, 3 * MIN_MS + 1000, ['morning plan: not woken for 181 s']],
    [
      'never woken since the start',
      { lastEndedMs: null },
      4 * MIN_MS,
      ['morning plan: not woken for 240 s'],
    ],
    ['under way', { runningSinceMs: 0 }, 5 * MIN_MS, []],
    ['hanging', { runningSinceMs: 0 }, 5 * MIN_MS + 1000, ['morning plan: hangs for 301 s']],
    [
      'failing, which a new start does not mend',
      { fault: 'no weather', faultsInARow: 99 },
      MIN_MS,
      [],
    ],
    ['each half second', { every: { ms: 500 } }, 2 * MIN_MS + 400, []],
    [
      'each half second, forgotten',
      { every: { ms: 500 } },
      2 * MIN_MS + 1000,
      ['morning plan: not woken for 121 s'],
    ],
  ] as const)('%s', (_, change, nowMs, expected) => {
    expect(unhealthyRounds([{ ...base, ...change }], { nowMs, startedMs: 0 })).toEqual(expected);
  });
});

describe('recordedRound', () => {
  it('counts rounds and faults, and a good round ends a row of faults', async () => {
    let nowMs = 1_000;
    let failing = true;
    const faults: unknown[] = [];
    const { round, record } = recordedRound(
      {
        name: 'x',
        every: 'minute',
        work: async () => {
          nowMs += 250;
          if (failing) throw new Error('away');
        },
      },
      { now: () => nowMs, onFault: (error) => faults.push(error) },
    );
    await round();
    await round();
    expect(record).toMatchObject({ fault: 'away', faultsInARow: 2, tookMs: 250, rounds: 2 });
    expect(faults).toHaveLength(2);
    failing = false;
    await round();
    expect(record).toMatchObject({ fault: null, faultsInARow: 0, rounds: 3, faults: 2 });
  });
});
