import { describe, expect, it } from 'vitest';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { type DayRevision, judgeRevision } from '../../../daemon/planning/revise-plan.ts';
import type { RevisionRule } from '../../../daemon/site/config/service-schema.ts';
import { EXAMPLE_MADE_AT_MS, examplePlan } from '../../example-plan.ts';

const MIN_MS = 60_000;
const at = (minutes: number) => EXAMPLE_MADE_AT_MS + minutes * MIN_MS;
const rule: RevisionRule = { everyMs: 15 * MIN_MS, thresholdMin: 20, quietMs: 60 * MIN_MS };

/**
 * An invented plan, made so many minutes after the first, whose first beds get dry so many minutes
 * after the first was made; each bed loses evenly until then and gets no water.
 */
function plan(revision: number, madeMin: number, dryMin: number[]): DayPlan {
  const madeAtMs = at(madeMin);
  const base = examplePlan({ madeAtMs, revision });
  return {
    ...base,
    runs: [],
    beds: base.beds.map((bed, index) => {
      const dry = dryMin[index] ?? 300;
      const steps = 200;
      return {
        ...bed,
        cycles: [],
        dryAtMs: at(dry),
        expectedStore: {
          startMs: madeAtMs,
          stepMin: 5,
          storeMm: Array.from({ length: steps }, (_, step) => (dry - madeMin - 5 * step) / 100),
        },
      };
    }),
  };
}

const kept = (cause: DayRevision['cause'], one: DayPlan): DayRevision => ({ cause, plan: one });
const morning = kept('morning', plan(1, 0, [300]));

interface Row {
  name: string;
  plans: DayRevision[];
  inForce?: DayPlan;
  /** When it is looked at, and when the beds get dry as things stand. */
  atMin: number;
  dryMin: number[];
  bed: string | null;
}

const earlier = kept('weather', plan(2, 60, [265]));
const ROWS: Row[] = [
  { name: 'no plan yet', plans: [], atMin: 60, dryMin: [200], bed: null },
  { name: 'nothing moved', plans: [morning], atMin: 60, dryMin: [300], bed: null },
  { name: 'below the threshold', plans: [morning], atMin: 60, dryMin: [281], bed: null },
  { name: 'at the threshold, earlier', plans: [morning], atMin: 60, dryMin: [280], bed: 'bed-1' },
  { name: 'at the threshold, later', plans: [morning], atMin: 60, dryMin: [320], bed: 'bed-1' },
  {
    name: 'several: the one that is dry first',
    plans: [morning],
    atMin: 60,
    dryMin: [270, 240, 275],
    bed: 'bed-2',
  },
  { name: 'in the quiet time', plans: [morning, earlier], atMin: 119, dryMin: [220], bed: null },
  { name: 'after it, further', plans: [morning, earlier], atMin: 120, dryMin: [240], bed: 'bed-1' },
  {
    name: 'after it, back a little',
    plans: [morning, earlier],
    atMin: 120,
    dryMin: [300],
    bed: null,
  },
  {
    name: 'after it, back by twice the threshold',
    plans: [morning, earlier],
    atMin: 120,
    dryMin: [310],
    bed: 'bed-1',
  },
  {
    name: 'back, but the plan in force is right and nobody has read the revision',
    plans: [morning, earlier],
    inForce: morning.plan,
    atMin: 120,
    dryMin: [310],
    bed: null,
  },
  {
    name: 'back beyond the plan in force',
    plans: [morning, earlier],
    inForce: morning.plan,
    atMin: 120,
    dryMin: [325],
    bed: 'bed-1',
  },
  {
    name: 'another bed after it',
    plans: [morning, earlier],
    inForce: morning.plan,
    atMin: 120,
    dryMin: [265, 270],
    bed: 'bed-2',
  },
  {
    name: 'a person made a plan meanwhile, which agrees',
    plans: [morning, kept('person', plan(2, 50, [265]))],
    atMin: 60,
    dryMin: [265],
    bed: null,
  },
  {
    name: 'the clock was stepped back behind the revision',
    plans: [morning, earlier],
    atMin: 30,
    dryMin: [240],
    bed: 'bed-1',
  },
];

describe('judgeRevision', () => {
  it.each(ROWS)('$name: $bed', ({ plans, inForce = null, atMin, dryMin, bed }) => {
    const proposed = plan(9, atMin, dryMin);
    const move = judgeRevision({ plans, inForce, proposed, given: [], rule });
    expect(move?.bedId ?? null).toBe(bed);
  });

  it('has a row for each rule', () => {
    expect(ROWS).toHaveLength(15);
  });

  it('makes few revisions of weather that swings to and fro', () => {
    const plans = [morning];
    for (let minutes = 15; minutes < 240; minutes += 15) {
      const dry = 300 + (minutes % 30 === 0 ? 30 : -30);
      const proposed = plan(plans.length + 1, minutes, [dry]);
      const move = judgeRevision({ plans, inForce: morning.plan, proposed, given: [], rule });
      if (move !== null) plans.push(kept('weather', proposed));
    }
    expect(plans.length - 1).toBeLessThanOrEqual(3);
  });
});
