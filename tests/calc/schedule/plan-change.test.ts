import { expect, test } from 'vitest';
import { planChange } from '../../../calc/schedule/plan-change.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { smallDay } from '../../small-day.ts';

const plan = planDay(smallDay({}));
const [bed, other] = plan.beds;
if (bed === undefined || other === undefined) throw new Error('the small day has two beds');
const [first, second, third] = bed.cycles;
if (first === undefined || second === undefined || third === undefined) {
  throw new Error('the first bed has three cycles');
}
const total = (cycles: readonly { netMm: number }[]) =>
  cycles.reduce((sum, { netMm }) => sum + netMm, 0);
const withCycles = (cycles: typeof bed.cycles) => ({ ...plan, beds: [{ ...bed, cycles }, other] });

test('two plans that ask the same of the field do not differ', () => {
  expect(planChange(plan, plan, plan.startMs)).toEqual([]);
  // A hair of depth is no other cycle.
  const hair = bed.cycles.map((cycle) => ({ ...cycle, netMm: cycle.netMm + 1e-9 }));
  expect(planChange(plan, withCycles(hair), plan.startMs)).toEqual([]);
});

test('a cycle that is gone, moved, deeper or new is told of its bed alone, if it is to come', () => {
  const changed = (cycles: typeof bed.cycles, fromMs = plan.startMs) =>
    planChange(plan, withCycles(cycles), fromMs);
  const rest = bed.cycles.slice(1);
  expect(changed(rest)).toEqual([
    {
      bedId: bed.bedId,
      name: bed.name,
      cyclesBefore: bed.cycles.length,
      cyclesAfter: rest.length,
      netMmBefore: total(bed.cycles),
      netMmAfter: total(rest),
      moved: 0,
    },
  ]);
  expect(changed(rest, first.startMs + 1)).toEqual([]);
  expect(changed(rest, first.startMs)).toHaveLength(1);
  const later = [{ ...first, startMs: first.startMs + 1 }, ...rest];
  expect(changed(later)[0]?.moved).toBe(1);
  const deeper = [{ ...first, netMm: first.netMm + 0.001 }, ...rest];
  expect(changed(deeper)[0]).toMatchObject({ moved: 1, cyclesAfter: bed.cycles.length });
});

test('a bed of one of the plans alone is told by its name', () => {
  const without = { ...plan, beds: [other] };
  expect(planChange(plan, without, plan.startMs)).toMatchObject([
    { bedId: bed.bedId, name: bed.name, cyclesAfter: 0, netMmAfter: 0 },
  ]);
  expect(planChange(without, plan, plan.startMs)).toMatchObject([
    { bedId: bed.bedId, name: bed.name, cyclesBefore: 0, moved: bed.cycles.length },
  ]);
});
