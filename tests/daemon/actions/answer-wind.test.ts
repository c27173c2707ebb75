import { describe, expect, it } from 'vitest';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { keepAction, keepAndPlan } from '../../../daemon/actions/action.ts';
import { actionOf } from '../../../daemon/actions/list.ts';
import { lastAuditEntries } from '../../../daemon/site/store/audit-log.ts';
import { windAnswersOf } from '../../../daemon/site/store/instructions.ts';
import { pageRig } from '../faces/web/page-rig.ts';

const DAY_MS = 24 * 3_600_000;
/** From 05:10 to 12:10. */
const NOON_LATER_MS = 7 * 3_600_000;
const KEEPER = 'A. Keeper';

const windyDayPlan = (plan: DayPlan | undefined) => {
  if (plan?.question === undefined) throw new Error('the demo day asks nothing about the wind');
  return { ...plan, question: plan.question };
};
const cyclesOf = (plan: DayPlan) => plan.beds.flatMap((bed) => bed.cycles).length;

describe('an answer to the wind', () => {
  it('is refused while nothing is asked', async () => {
    const rig = await pageRig();
    const context = { db: rig.db, config: rig.config, nowMs: rig.clock.nowMs };
    expect(() => actionOf(context, { kind: 'wind', choice: 'skip' }, KEEPER)).toThrow(
      'answer: nothing is asked about the wind (got skip); answer when the newest plan of today asks',
    );
    expect(lastAuditEntries(rig.db, 9)).toEqual([]);
  });

  it('is kept by name and only added to; the newest of the day is what the plan follows', async () => {
    const rig = await pageRig();
    const first = windyDayPlan((await rig.plan()).plan);
    const { db, config, weather } = rig;
    const context = { db, config, weather, nowMs: rig.clock.nowMs };
    const skip = actionOf(context, { kind: 'wind', choice: 'skip' }, KEEPER);
    expect(windAnswersOf(db, first.siteDay)).toEqual([]);
    const { lines, stored } = await keepAndPlan(context, skip);
    expect(lines).toEqual([
      'Answer to the wind: skip the windy hours.',
      'It goes into every plan of today that would ask.',
    ]);
    const skipped = windyDayPlan(stored?.plan);
    expect(cyclesOf(skipped)).toBe(first.question.skip.cycles);
    expect(skipped.question).toEqual({
      ...first.question,
      answered: expect.objectContaining({ choice: 'skip', who: KEEPER, atMs: context.nowMs }),
    });
    const step = lastAuditEntries(db, 9).find((one) => one.kind === 'wind_answered');
    expect(step).toMatchObject({ who: KEEPER, what: 'Answer to the wind: skip the windy hours.' });

    // Another person thinks anew: the earlier row stays, the newer stands.
    const shorter = { kind: 'wind', choice: 'shorter_and_oftener' } as const;
    const again = await keepAndPlan(context, actionOf(context, shorter, 'B. Keeper'));
    const told = windyDayPlan(again.stored?.plan);
    expect(cyclesOf(told)).toBe(first.question.shorterAndOftener.cycles);
    expect(told.question.answered?.who).toBe('B. Keeper');
    expect(windAnswersOf(db, first.siteDay).map((one) => one.choice)).toEqual([
      'skip',
      'shorter_and_oftener',
    ]);
    for (const change of ["UPDATE wind_answer SET answer = 'skip'", 'DELETE FROM wind_answer']) {
      expect(() => db.exec(change)).toThrow(/only ever added to/);
    }
  });

  it('stands in a plan made later that day, in the midst of the wind', async () => {
    const rig = await pageRig();
    await rig.plan();
    const context = { db: rig.db, config: rig.config, nowMs: rig.clock.nowMs };
    keepAction(context, actionOf(context, { kind: 'wind', choice: 'skip' }, KEEPER));
    rig.clock.nowMs += NOON_LATER_MS;
    const later = windyDayPlan((await rig.plan()).plan);
    expect(later.question.answered).toMatchObject({ choice: 'skip', atMs: context.nowMs });
    expect(later.question.runAnyway.cycles).toBeGreaterThan(0);
    // The demo's wind blows longer than its water may run.
    expect(later.question.skip.cycles).toBe(0);
    expect(later.runs).toEqual([]);
  });

  it('does not count on the day after', async () => {
    const rig = await pageRig();
    await rig.plan();
    const context = { db: rig.db, config: rig.config, nowMs: rig.clock.nowMs };
    keepAction(context, actionOf(context, { kind: 'wind', choice: 'skip' }, KEEPER));
    rig.clock.nowMs += DAY_MS;
    const tomorrow = windyDayPlan((await rig.plan()).plan);
    expect(tomorrow.question.answered).toBeUndefined();
    expect(cyclesOf(tomorrow)).toBe(tomorrow.question.runAnyway.cycles);
    expect(tomorrow.warnings.map((one) => one.code)).toContain('wind_question');
  });
});
