import { describe, expect, it } from 'vitest';
import { handWaterOf, planToCarryOnFrom } from '../../../daemon/planning/stores-now.ts';
import type { Db } from '../../../daemon/site/store/database.ts';
import { addHandWater, handWaterSince } from '../../../daemon/site/store/hand-records.ts';
import { EXAMPLE_MADE_AT_MS, examplePlan } from '../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../scratch-site.ts';

const HOUR_MS = 3_600_000;
const at = (hours: number) => EXAMPLE_MADE_AT_MS + hours * HOUR_MS;

function withPlans(...madeAtHours: number[]): Db {
  const db = scratchDatabase();
  for (const [index, hours] of madeAtHours.entries()) {
    rememberPlan(db, examplePlan({ madeAtMs: at(hours), revision: index + 1 }));
  }
  return db;
}

const log = (db: Db, loggedHour: number, givenHour: number) =>
  addHandWater(db, {
    atMs: at(loggedHour),
    who: 'A. Keeper',
    bedId: 'bed-1',
    stationId: null,
    startMs: at(givenHour),
    runS: 600,
    grossMm: 1,
  });

describe('carryOnFrom', () => {
  it('takes the newest plan, unless it is too old or there is none', () => {
    expect(planToCarryOnFrom(scratchDatabase(), at(0))).toBeNull();
    const db = withPlans(0, 3);
    expect(planToCarryOnFrom(db, at(4))?.plan.revision).toBe(2);
    expect(planToCarryOnFrom(db, at(52))).toBeNull();
  });

  it('goes back behind a plan that passed over water logged later', () => {
    const db = withPlans(0, 3);
    log(db, 4, 2);
    const plan = planToCarryOnFrom(db, at(5));
    expect(plan?.plan.revision).toBe(1);
    expect(
      plan && handWaterOf(handWaterSince(db, 0), plan, at(5)).map((one) => one.startMs),
    ).toEqual([at(2)]);
  });

  it('stays with the newest for water that was logged before it or given after it', () => {
    const db = withPlans(0, 3);
    log(db, 2.5, 2);
    log(db, 4, 3.5);
    const plan = planToCarryOnFrom(db, at(5));
    expect(plan?.plan.revision).toBe(2);
    expect(
      plan && handWaterOf(handWaterSince(db, 0), plan, at(5)).map((one) => one.startMs),
    ).toEqual([at(3.5)]);
  });

  it('counts water given before the first plan from that plan’s start on', () => {
    const db = withPlans(0);
    log(db, 1, -1);
    const plan = planToCarryOnFrom(db, at(2));
    expect(
      plan && handWaterOf(handWaterSince(db, 0), plan, at(2)).map((one) => one.startMs),
    ).toEqual([at(0)]);
  });
});
