import { expect, it } from 'vitest';
import { fieldFaults } from '../../../daemon/delivery/field-faults.ts';
import { reconcile } from '../../../daemon/delivery/reconcile.ts';
import type { FieldRule, RanReport } from '../../../daemon/site/store/run-state.ts';

const RULE: FieldRule = {
  lateMs: 600_000,
  runOverS: 60,
  flowOffFraction: 0.2,
  onMissing: 'notice',
  onStuck: 'hold',
  onUnasked: 'hold',
};
const stations = ['s-1', 's-2'].map((id, nth) => ({ id, bedId: `g${nth + 1}`, flowLPerMin: 60 }));
const ran = (stationId: string, startMs: number): RanReport => ({
  kind: 'ran',
  output: 'mqtt',
  stationId,
  startMs,
  runS: 60,
  flowLPerMin: null,
  atMs: startMs + 60_000,
});

it('30,000 runs that nobody asked for are a few faults, and stop every bed that is among them', () => {
  const own = Array.from({ length: 15_000 }, (_, nth) => ran(nth % 2 ? 's-1' : 's-2', nth * 1000));
  const foreign = Array.from({ length: 15_000 }, (_, nth) => ran(`x-${nth}`, nth * 1000));
  const of = (reports: RanReport[]) =>
    fieldFaults(reconcile({ confirmed: [], reports, byHand: [], nowMs: 20_000_000, rule: RULE }), {
      stations,
      rule: RULE,
    });
  const faults = of([...own, ...foreign]);
  expect(faults).toHaveLength(31);
  const held = faults.filter(({ answer }) => answer === 'hold').map(({ bedId }) => bedId);
  expect(new Set(held)).toEqual(new Set(['g1', 'g2', null]));
  const last = faults.find(({ key }) => key.startsWith('unasked more'));
  expect(last?.more).toBe(29_970);
  // One more is told of no more than before.
  const more = of([...own, ...foreign, ran('s-1', 15_000_000)]);
  expect(more.map(({ key }) => key)).toEqual(faults.map(({ key }) => key));
});
