import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { Run } from '../../../calc/schedule/run.ts';
import { reconcile } from '../../../daemon/delivery/reconcile.ts';
import type { RanReport } from '../../../daemon/site/store/run-state.ts';

const MIN_MS = 60_000;
const rule = { lateMs: 10 * MIN_MS };
const station = fc.constantFrom('s-1', 's-2');

const runs = fc.uniqueArray(
  fc.record({ stationId: station, startMin: fc.integer({ min: 0, max: 600 }) }),
  { selector: ({ stationId, startMin }) => `${stationId} ${startMin}`, maxLength: 12 },
);
const reports = fc.array(
  fc.record({
    stationId: station,
    output: fc.constantFrom('a', 'b'),
    startMin: fc.integer({ min: 0, max: 600 }),
    runS: fc.integer({ min: 0, max: 900 }),
  }),
  { maxLength: 16 },
);

describe('reconcile, whatever is reported', () => {
  it('gives every run one state, and no report to two runs or to a run and a stray', () => {
    fc.assert(
      fc.property(runs, reports, fc.integer({ min: 0, max: 700 }), (asked, told, nowMin) => {
        const given = asked.map(
          ({ stationId, startMin }): Run => ({
            bedId: 'bed',
            stationId,
            startMs: startMin * MIN_MS,
            runS: 240,
            rotations: 1,
            grossMm: 1,
            netMm: 1,
            cycle: 1,
          }),
        );
        const sent = { sentMs: -1, triedMs: -1, rejectedMs: null, receipt: null };
        const ran = told.map(
          ({ stationId, output, startMin, runS }): RanReport => ({
            kind: 'ran',
            output,
            stationId,
            startMs: startMin * MIN_MS,
            runS,
            flowLPerMin: null,
            atMs: startMin * MIN_MS + runS * 1000,
          }),
        );
        const found = reconcile({
          confirmed: [
            {
              siteDay: '2026-07-01',
              revision: 1,
              runs: given,
              missed: [],
              replacedMs: Number.POSITIVE_INFINITY,
              holds: [],
              orders: [{ output: 'a', ...sent }],
            },
          ],
          reports: ran,
          byHand: [],
          nowMs: nowMin * MIN_MS,
          rule,
        });
        expect(found.runs).toHaveLength(given.length);
        const taken = found.runs.flatMap(({ run, actual }) =>
          actual === null ? [] : [`${actual.output} ${run.stationId} ${actual.startMs}`],
        );
        expect(new Set(taken).size).toBe(taken.length);
        for (const stray of found.strays) {
          expect(taken).not.toContain(`${stray.output} ${stray.stationId} ${stray.startMs}`);
        }
        for (const { run, actual, state } of found.runs) {
          expect(actual === null).toBe(state !== 'ran');
          const off = Math.abs((actual?.startMs ?? run.startMs) - run.startMs);
          expect(off).toBeLessThanOrEqual(rule.lateMs);
        }
      }),
      { seed: 20261125, numRuns: 300 },
    );
  });
});
