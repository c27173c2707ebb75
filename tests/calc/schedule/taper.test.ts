import { describe, expect, it } from 'vitest';
import { memberSpread } from '../../../calc/futures/member-spread.ts';
import { STAGE_NAMES, STAGES } from '../../../calc/growth/stages.ts';
import { membersOfClass, sandClassModels } from '../../../calc/sand/sand-class-models.ts';
import { sandClasses } from '../../../calc/sand/sand-classes.ts';
import type { SeedbedModel } from '../../../calc/sand/seedbed-model.ts';
import { bedStores } from '../../../calc/schedule/bed-stores.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { bigSite } from '../../bench/big-site.ts';
import { fallonReferenceMm, inventedCoolDayMm } from '../../bench/seedbed-model.ts';

const HOUR_MS = 3_600_000;
const DAYS = [
  ['a hot day, as measured at Fallon', fallonReferenceMm],
  ['an invented cool day', inventedCoolDayMm],
  ['an invented middling day', inventedCoolDayMm.map((mm) => 1.5 * mm)],
] as const;

const own = (key: string) => {
  const known = sandClassModels[key];
  if (known === undefined) throw new Error(`no model of ${key}`);
  return known.model;
};
const SANDS: readonly (readonly [string, () => readonly SeedbedModel[]])[] = sandClasses.flatMap(
  ({ key }) => [
    [`${key}, class alone`, () => membersOfClass(key).map((one) => one.model)] as const,
    [`${key}, reported`, () => [own(key)]] as const,
  ],
);
/**
 * Where doses of one rotation fit into the day in place of some of two, so that a stage has as many
 * cycles as the one before, or one more: by how many more, and by how many rotations less.
 */
const MORE_OFTEN: Readonly<Record<string, readonly [number, number]>> = {
  'medium_open, class alone: emergence on a hot day, as measured at Fallon': [1, -1],
  'medium_open, class alone: emergence on an invented middling day': [0, -1],
};

/** One bed's day in each stage, from a night of draining. */
function dayInStages(models: readonly SeedbedModel[], referenceMm: readonly number[]) {
  const input = bigSite(1);
  const [first] = input.site.beds;
  if (first === undefined) throw new Error('the invented site has a bed');
  const hours = input.hours.map((hour) => ({
    ...hour,
    referenceEtMm: referenceMm[((hour.startMs - input.dayStartMs) / HOUR_MS) % 24] ?? 0,
  }));
  return STAGE_NAMES.map((stage) => {
    const bed = { ...first, stage, exposureFraction: 1, sand: { ...first.sand, stated: null } };
    const stores = bedStores([bed], STAGES, () => memberSpread(models));
    const store = stores.get(bed.id);
    if (store === undefined) throw new Error('the bed has a store');
    const limits = { ...input.site.limits, pumpFlowLPerMin: 1000 };
    const plan = planDay({
      ...input,
      site: { ...input.site, beds: [bed], limits },
      hours,
      stores,
      statesNow: new Map([[bed.id, store.stateAt(1, 0.5)]]),
    });
    const planned = plan.beds[0];
    if (planned === undefined) throw new Error('the bed is planned');
    return {
      stage,
      // At one demand: the day's own differs with the green, and a store is told as what two days take.
      capacityMm: store.capacityMm(0.5),
      doseMm: Math.min(STAGES[stage].doseCapMm, store.roomMm(store.stateAt(0.2, 0.5))),
      cycles: planned.cycles.length,
      rotations: Math.max(0, ...planned.cycles.map((cycle) => cycle.rotations)),
    };
  });
}

describe.each(SANDS)('%s', (sand, modelsOf) => {
  it.each(DAYS)(
    'is watered less often and deeper from stage to stage, on %s',
    (day, referenceMm) => {
      const stages = dayInStages(modelsOf(), referenceMm);
      const [germination] = stages;
      for (const [index, now] of stages.entries()) {
        const before = stages[index - 1];
        if (before === undefined) continue;
        expect(now.capacityMm).toBeGreaterThanOrEqual(before.capacityMm - 1e-9);
        expect(now.doseMm).toBeGreaterThanOrEqual(before.doseMm - 1e-9);
        const moreOften = MORE_OFTEN[`${sand}: ${now.stage} on ${day}`];
        if (moreOften !== undefined) {
          expect([now.cycles - before.cycles, now.rotations - before.rotations]).toEqual(moreOften);
          continue;
        }
        expect(now.cycles).toBeLessThanOrEqual(before.cycles);
        // A day's only cycle may be a small one: no more is owed until the night.
        if (now.cycles > 1) expect(now.rotations).toBeGreaterThanOrEqual(before.rotations);
      }
      // Not by watering nothing: an open sand is watered in every stage, a few times in the last.
      if (sand.includes('_open')) {
        expect(germination?.cycles).toBeGreaterThan(5);
        expect(stages.at(-1)?.cycles).toBeGreaterThan(0);
        expect(stages.at(-1)?.cycles).toBeLessThan((germination?.cycles ?? 0) / 1.5);
      }
    },
  );
});
