import { describe, expect, it } from 'vitest';
import { prepareProposal } from '../../../../daemon/planning/propose-plan.ts';
import { fieldWatchJob } from '../../../../daemon/service/jobs/hold-watches.ts';
import { openHolds } from '../../../../daemon/site/store/holds-and-keep-offs.ts';
import { readerOf } from '../../../../daemon/words/plan-words.ts';
import { examplePlan } from '../../../example-plan.ts';
import { toldOf } from '../../../reader.ts';
import { rememberPlan } from '../../../scratch-site.ts';
import { jobRig } from '../../job-rig.ts';

function sentSite(more: string[] = []) {
  const rig = jobRig({ more });
  const stored = rememberPlan(rig.db, examplePlan({ revision: 1 }));
  rig.goTo(5);
  rig.confirm(stored);
  const job = fieldWatchJob(rig.parts);
  return { ...rig, work: () => job.work() };
}

describe('the watch over reports', () => {
  it('says nothing while nothing reports', async () => {
    const site = sentSite();
    site.goTo(200);
    await site.work();
    expect(site.steps('field_fault')).toEqual([]);
  });

  it('tells of a missing run once, and does not hold by itself', async () => {
    const site = sentSite();
    site.goTo(80);
    site.report('s-1a', { startMs: site.at(75), runS: 240, flowLPerMin: 98 });
    site.goTo(95);
    await site.work();
    await site.work();
    expect(site.steps('field_fault').map((step) => step.what)).toEqual([
      'Bed 1, station s-1b at 06:15: was to run 4 min and nothing reports that it did; counted as not run',
    ]);
    expect(openHolds(site.db)).toEqual([]);
  });

  it('holds the bed of a station that ran on, once', async () => {
    const site = sentSite();
    site.goTo(90);
    site.report('s-1a', { startMs: site.at(75), runS: 900 });
    site.report('s-1b', { startMs: site.at(75), runS: 240 });
    await site.work();
    await site.work();
    const holds = openHolds(site.db);
    expect(holds).toHaveLength(1);
    expect(holds[0]).toMatchObject({
      who: 'dewbeat',
      beds: ['bed-1'],
      why: 'station s-1a ran 15 min in place of 4 min',
    });
    expect(site.steps('field_fault')).toHaveLength(1);
  });

  it('holds what comes without flow where the config says so', async () => {
    const site = sentSite(['field_reports: { on_missing: hold }']);
    site.goTo(90);
    site.report('s-1a', { startMs: site.at(75), runS: 240, flowLPerMin: 2 });
    site.report('s-1b', { startMs: site.at(75), runS: 240, flowLPerMin: 130 });
    await site.work();
    expect(openHolds(site.db).map((hold) => hold.beds)).toEqual([['bed-1']]);
    expect(site.steps('field_fault').map((step) => step.what)).toEqual([
      'Bed 1, station s-1a at 06:15: ran 4 min with 2 L/min in place of 100 L/min',
      'Bed 1, station s-1b at 06:15: ran 4 min with 130 L/min in place of 100 L/min',
    ]);
  });

  it('tells of water that nobody asked for, also at a station that it does not know', async () => {
    const site = sentSite();
    site.goTo(40);
    site.report('s-2a', { startMs: site.at(30), runS: 300 });
    site.report('s-99', { startMs: site.at(31), runS: 300 });
    await site.work();
    expect(site.steps('field_fault').map((step) => step.what)).toEqual([
      'Bed 2, station s-2a at 05:30: ran 5 min and nobody had asked it to',
      'station s-99 at 05:31: ran 5 min and nobody had asked it to',
    ]);
    expect(openHolds(site.db)).toEqual([]);
  });

  it('is heard in the next plan, whose stores count what ran', async () => {
    const site = sentSite();
    const proposal = async () => {
      const propose = await prepareProposal(
        { ...site.parts, nowMs: site.parts.now() },
        { lift: 'none' },
      );
      return propose().plan;
    };
    site.goTo(95);
    const assumed = await proposal();
    const reader = readerOf(site.parts.config);
    expect(toldOf(assumed, 'runs_assumed', reader)[0]).toBe(
      'No receiver reports what ran: 3 runs are assumed to have run as planned, the last at 06:30.',
    );
    site.report('s-1a', { startMs: site.at(75), runS: 240 });
    site.report('s-2a', { startMs: site.at(90), runS: 240 });
    const told = await proposal();
    const notes = told.warnings.filter((one) => one.code === 'field_fault');
    expect(notes.map((note) => note.bedId)).toEqual(['bed-1']);
    expect(toldOf(told, 'field_fault', reader)[0]).toMatch(
      /^Bed 1: 06:15 station s-1b was to run 4 min .* `dewbeat ran`\.$/,
    );
    expect(told.warnings.some((one) => one.code === 'runs_assumed')).toBe(false);
    const store = (plan: typeof told, bed: number) => plan.beds[bed]?.storeNowMm ?? Number.NaN;
    expect(store(told, 0)).toBeLessThan(store(assumed, 0) - 0.01);
    expect(store(told, 1)).toBeCloseTo(store(assumed, 1), 6);
  });
});
