import { describe, expect, it } from 'vitest';
import { runStates } from '../../../daemon/delivery/what-ran.ts';
import { confirmPlan, holdWater } from '../../../daemon/site/gate/gate.ts';
import { CAUTIONS } from '../../../daemon/site/gate/valid-confirm.ts';
import { addFieldReport } from '../../../daemon/site/store/field-reports.ts';
import { addAttempt } from '../../../daemon/site/store/outbox.ts';
import { DEFAULT_FIELD_RULE } from '../../../daemon/site/store/run-state.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { EXAMPLE_MADE_AT_MS, EXAMPLE_SITE, EXAMPLE_ZONE, examplePlan } from '../../example-plan.ts';
import { rememberPlan, scratchDatabase } from '../../scratch-site.ts';

const clock = siteClock(EXAMPLE_ZONE);
const at = (minutes: number) => EXAMPLE_MADE_AT_MS + minutes * 60_000;

/** An invented plan, confirmed five minutes after it was made, owed to one output. */
function confirmedSite() {
  const db = scratchDatabase();
  const stored = rememberPlan(db, examplePlan());
  const result = confirmPlan(
    { db, clock, site: EXAMPLE_SITE, outputs: ['mqtt'], nowMs: at(5) },
    {
      revision: stored.plan.revision,
      digest: stored.digest,
      who: 'A. Keeper (invented)',
      cautions: CAUTIONS.map((caution) => caution.code),
    },
  );
  if (!result.ok) throw new Error(result.refusal.code);
  const { orderId } = result;
  const answer = (minutes: number, kind: 'accepted' | 'unknown') =>
    addAttempt(db, { orderId, output: 'mqtt', atMs: at(minutes), answer: kind, detail: '' });
  const states = (minutes: number) =>
    runStates(db, {
      siteDay: clock.siteDayOf(at(0)),
      clock,
      nowMs: at(minutes),
      rule: DEFAULT_FIELD_RULE,
    });
  return { db, orderId, answer, states };
}

describe('runStates', () => {
  it('follows the runs of a day from the confirm to the field and back', () => {
    const { db, orderId, answer, states } = confirmedSite();
    const named = (minutes: number) => [...new Set(states(minutes).map((one) => one.state))];
    expect(states(6)).toHaveLength(12);
    expect(named(6)).toEqual(['planned']);
    answer(7, 'unknown');
    expect(named(8)).toEqual(['unknown']);
    answer(9, 'accepted');
    expect(named(10)).toEqual(['sent']);
    const receipt = { kind: 'receipt', output: 'mqtt', orderId, detail: '' } as const;
    addFieldReport(db, { ...receipt, answer: 'accepted', atMs: at(11) }, at(11));
    expect(named(12)).toEqual(['accepted']);
    const ran = { kind: 'ran', output: 'mqtt', stationId: 's-1a', flowLPerMin: 99 } as const;
    addFieldReport(db, { ...ran, startMs: at(75), runS: 250, atMs: at(80) }, at(80));
    expect(
      states(92)
        .map((one) => `${one.run.stationId} ${one.state}`)
        .slice(0, 3),
    ).toEqual(['s-1a ran', 's-1b missing', 's-2a accepted']);
  });

  it('tells what a hold took out', () => {
    const { db, answer, states } = confirmedSite();
    answer(6, 'accepted');
    holdWater(
      { db, clock, outputs: ['mqtt'], nowMs: at(100) },
      { who: 'A. Keeper', why: 'leak', beds: ['bed-1'], untilMs: null },
    );
    const later = states(101).filter((one) => one.run.startMs >= at(100));
    expect(later.filter((one) => one.state === 'withdrawn').map((one) => one.run.bedId)).toEqual(
      Array(4).fill('bed-1'),
    );
    expect(later.filter((one) => one.run.bedId !== 'bed-1').map((one) => one.state)).toEqual(
      Array(5).fill('sent'),
    );
  });

  it('has nothing to tell of a day without a confirm', () => {
    const { states } = confirmedSite();
    const db = scratchDatabase();
    rememberPlan(db, examplePlan());
    expect(
      runStates(db, {
        siteDay: clock.siteDayOf(at(0)),
        clock,
        nowMs: at(9),
        rule: DEFAULT_FIELD_RULE,
      }),
    ).toEqual([]);
    expect(states(6)).not.toEqual([]);
  });
});
