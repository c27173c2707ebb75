import { describe, expect, it } from 'vitest';
import type { PreviewView } from '../../../../daemon/faces/web/views/action-view.ts';
import type { TodayView } from '../../../../daemon/faces/web/views/today-view.ts';
import { CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import { lastAuditEntries } from '../../../../daemon/site/store/audit-log.ts';
import { newestPlan } from '../../../../daemon/site/store/plans.ts';
import { type PageRig, pageRig } from './page-rig.ts';

const MINUTE_MS = 60_000;
const HOTTER = { kind: 'call', hotterK: 4, windFraction: 1.5, cloudierFraction: 0 };

async function previewed(rig: PageRig, change: unknown): Promise<PreviewView> {
  const { status, body } = await rig.post('/api/preview', { change });
  expect(status, JSON.stringify(body)).toBe(200);
  return body as unknown as PreviewView;
}

const changed = (rig: PageRig, change: unknown, who = 'A. Keeper') =>
  rig.post('/api/change', { change, who });

async function today(rig: PageRig): Promise<TodayView> {
  return (await rig.get('/api/today')).body as unknown as TodayView;
}

function plannedBed(rig: PageRig, bedId: string) {
  const bed = newestPlan(rig.db)?.plan.beds.find((one) => one.bedId === bedId);
  if (bed === undefined) throw new Error(`no ${bedId} in the newest plan`);
  return bed;
}

async function confirmNewest(rig: PageRig): Promise<void> {
  const stored = newestPlan(rig.db);
  const body = {
    revision: stored?.plan.revision,
    digest: stored?.digest,
    who: 'A. Keeper',
    cautions: CAUTIONS.map((caution) => caution.code),
  };
  expect((await rig.post('/api/confirm', body)).status).toBe(200);
}

describe('POST /api/preview', () => {
  it('plans a day call before and after, keeps nothing, and is what the change then brings', async () => {
    const rig = await pageRig();
    await rig.plan();
    const version = (await today(rig)).version;
    const view = await previewed(rig, HOTTER);
    expect(view.line).toContain('7.2 °F hotter, wind x 1.5');
    expect(view.before?.cycles).toBe(
      newestPlan(rig.db)?.plan.beds.reduce((sum, bed) => sum + bed.cycles.length, 0),
    );
    expect(view.after.runMin).toBeGreaterThan(view.before?.runMin ?? Infinity);
    expect(view.beds.some((bed) => bed.changed)).toBe(true);
    expect(view.lines.length).toBeGreaterThan(0);
    const hour = new Date(view.hottestHourMs).getUTCHours() - 4;
    expect(hour).toBeGreaterThanOrEqual(11);
    expect(hour).toBeLessThanOrEqual(15);
    expect((await today(rig)).version).toBe(version);

    expect((await changed(rig, HOTTER)).status).toBe(200);
    for (const bed of view.beds) {
      expect(bed.after.cycles).toBe(plannedBed(rig, bed.id).cycles.length);
      expect(bed.after.netMm).toBeCloseTo(plannedBed(rig, bed.id).netMm, 9);
    }
  });

  it('shows a taper step for the chosen beds alone', async () => {
    const rig = await pageRig();
    await rig.plan();
    const view = await previewed(rig, {
      kind: 'stage',
      bedIds: ['green-1'],
      to: 'emergence',
      why: 'half shows green',
    });
    const [moved] = view.beds.filter((bed) => bed.id === 'green-1');
    expect(moved?.changed).toBe(true);
    expect(moved?.after.cycles).toBeLessThan(moved?.before?.cycles ?? 0);
    expect(moved?.after.lowestAtHottestMm).not.toBe(moved?.before?.lowestAtHottestMm);
    expect(view.line).toBe('Green 1: germination to emergence (half shows green).');
  });

  it('refuses what makes no sense, as the change would', async () => {
    const rig = await pageRig();
    await rig.plan();
    for (const [change, told] of [
      [
        { kind: 'stage', bedIds: ['green-1'], to: 'flowering', why: 'x' },
        'to: is none of the choices',
      ],
      [{ kind: 'trim', bedId: 'green-1', trimPct: 1000, why: 'x' }, 'percent: must be 25 to 300 %'],
      [{ kind: 'trim', bedId: 'green-1', trimPct: 110, why: ' ' }, 'why: is missing'],
      [{ kind: 'rotation', bedId: 'green-99' }, 'bed: no such bed (got green-99)'],
      [{ kind: 'end_keep_off', keepOffId: 4 }, 'end: no such keep-off (got 4)'],
      [{ ...HOTTER, hotterK: 40 }, 'hotter: must be -27 to 27 °F (got 72 °F)'],
      [{ kind: 'rotation', bedId: 'green-1', speed: 2 }, 'speed: is not known here; leave it out'],
      [{ kind: 'rain_dance' }, 'is none of the choices'],
      [
        { kind: 'water', bedId: 'green-1', netMm: 400 },
        'depth: must be 0.002 to 1.181 in (got 15.748 in)',
      ],
    ] as const) {
      for (const path of ['/api/preview', '/api/change']) {
        const { status, body } = await rig.post(path, { change, who: 'A. Keeper' });
        expect(status, told).toBe(400);
        expect(body.message).toContain(told);
      }
    }
    expect(newestPlan(rig.db)?.plan.revision).toBe(1);
  });
});

describe('the answer to the wind', () => {
  it('is previewed as it would be planned, kept as a held revision, and shown as answered', async () => {
    const rig = await pageRig();
    await rig.plan();
    const asked = await today(rig);
    expect(asked.question).toMatchObject({ answered: null });
    expect(asked.question?.answers.map(({ answer, isPlanned }) => [answer, isPlanned])).toEqual([
      ['run_anyway', true],
      ['skip', false],
      ['shorter_and_oftener', false],
    ]);
    const costs = asked.question?.answers.find((one) => one.answer === 'skip');
    const change = { kind: 'wind', choice: 'skip' };
    const view = await previewed(rig, change);
    expect(view.after.cycles).toBe(costs?.cycles);
    expect((await today(rig)).newest?.revision).toBe(1);

    const done = await changed(rig, change);
    expect(done).toMatchObject({ status: 200, body: { plan: { revision: 2 } } });
    const after = await today(rig);
    expect(after.question?.answered).toBe('A. Keeper answered at 05:10: skip the windy hours.');
    expect(after.question?.answers.find((one) => one.isPlanned)).toMatchObject({
      answer: 'skip',
      cycles: costs?.cycles,
      driftMm: costs?.driftMm,
      line: expect.stringContaining('Skip the windy hours, as planned: '),
    });
    expect(after.waiting.find((one) => one.kind === 'question')?.severity).toBe('note');
    expect(after.beds.reduce((sum, bed) => sum + bed.cycles, 0)).toBe(costs?.cycles);
  });

  it('is refused where nothing is asked, or no such answer is', async () => {
    const rig = await pageRig();
    for (const [choice, told] of [
      ['skip', 'answer: nothing is asked about the wind'],
      ['blow', 'answer: is none of the choices'],
    ]) {
      const { status, body } = await changed(rig, { kind: 'wind', choice });
      expect(status, choice).toBe(400);
      expect(body.message).toContain(told);
    }
  });
});

describe('POST /api/change', () => {
  it('asks for a name', async () => {
    const rig = await pageRig();
    expect(await changed(rig, HOTTER, '')).toMatchObject({
      status: 400,
      body: { code: 'name_missing' },
    });
  });

  it('ends every change in a held revision that names what changed', async () => {
    const rig = await pageRig();
    await rig.plan();
    await confirmNewest(rig);
    const { body } = await changed(rig, HOTTER);
    expect(body.plan?.revision).toBe(2);
    expect(body.changes?.length).toBeGreaterThan(0);
    expect(body.lines).toContain('It goes into every plan of today.');
    const view = await today(rig);
    expect(view.newest).toMatchObject({ revision: 2, standing: 'held' });
    expect(view.inForce).toMatchObject({ revision: 1 });
    expect(view.call).toMatchObject({ hotterK: 4, who: 'A. Keeper' });
  });

  it('puts a keep-off on and ends it again', async () => {
    const rig = await pageRig();
    await rig.plan();
    const before = plannedBed(rig, 'green-2').cycles.length;
    const put = await changed(rig, { kind: 'keep_off', beds: ['green-2'], why: 'injector armed' });
    expect(put.body.lines?.[0]).toContain('until a person ends it');
    expect(plannedBed(rig, 'green-2').cycles).toEqual([]);
    const view = await today(rig);
    expect(view.keepOffs[0]).toMatchObject({ keepOffId: 1, dryUntilMs: null });
    expect(view.beds.find((bed) => bed.id === 'green-2')?.keptOff).toBe(true);
    const ended = await previewed(rig, { kind: 'end_keep_off', keepOffId: 1 });
    expect(ended.beds.find((bed) => bed.id === 'green-2')?.after.cycles).toBe(before);
    await changed(rig, { kind: 'end_keep_off', keepOffId: 1 });
    expect(plannedBed(rig, 'green-2').cycles.length).toBe(before);
  });

  it('counts water by hand in the store', async () => {
    const rig = await pageRig();
    await rig.plan();
    const before = (await today(rig)).beds.find((bed) => bed.id === 'green-1');
    rig.clock.nowMs += 20 * MINUTE_MS;
    const { body } = await changed(rig, {
      kind: 'water',
      bedId: 'green-1',
      netMm: 0.4,
    });
    expect(body.lines?.[0]).toBe('Green 1: 0.016 in by hand from 05:20.');
    const after = (await today(rig)).beds.find((bed) => bed.id === 'green-1');
    expect(after?.storeNowMm).toBeGreaterThan((before?.storeNowMm ?? Infinity) + 0.2);
  });

  it('trims one bed, shows it, and waters it more', async () => {
    const rig = await pageRig();
    await rig.plan();
    const before = plannedBed(rig, 'green-3').lossMm;
    await changed(rig, { kind: 'trim', bedId: 'green-3', trimPct: 120, why: 'dry crown' });
    expect(plannedBed(rig, 'green-3').lossMm).toBeCloseTo(before * 1.2, 2);
    const view = await today(rig);
    const bed = view.beds.find((one) => one.id === 'green-3');
    expect(bed?.trimPct).toBe(120);
    expect(bed?.notes.join(' ')).toContain('A. Keeper set it so (dry crown)');
    await changed(rig, { kind: 'trim', bedId: 'green-3', trimPct: 100, why: 'even again' });
    expect(plannedBed(rig, 'green-3').lossMm).toBeCloseTo(before, 2);
  });

  it('adds a rotation now: held, run once when confirmed, not again in the next plan', async () => {
    const rig = await pageRig();
    await rig.plan();
    await confirmNewest(rig);
    rig.clock.nowMs += 60 * MINUTE_MS;
    await changed(rig, { kind: 'rotation', bedId: 'green-1', rotations: 1 });
    const extraOf = () =>
      plannedBed(rig, 'green-1').cycles.filter((cycle) =>
        cycle.reasons.some((reason) => reason.code === 'asked_for'),
      );
    const [extra] = extraOf();
    expect(extra?.rotations).toBe(1);
    expect(extra?.startMs).toBeLessThan(rig.clock.nowMs + 20 * MINUTE_MS);
    expect((await today(rig)).inForce).toMatchObject({ revision: 1 });
    // Not confirmed: the next plan still has it.
    rig.clock.nowMs += MINUTE_MS;
    await rig.plan();
    expect(extraOf()).toHaveLength(1);
    await confirmNewest(rig);
    const [confirmed] = extraOf();
    rig.clock.nowMs = (confirmed?.endMs ?? 0) + MINUTE_MS;
    await rig.plan();
    expect(extraOf()).toEqual([]);
  });

  it('moves several beds on, and steps them back in one go', async () => {
    const rig = await pageRig();
    await rig.plan();
    const bedIds = ['green-1', 'green-2'];
    const stagesOf = () => bedIds.map((id) => plannedBed(rig, id).stage);
    const before = stagesOf();
    await changed(rig, { kind: 'stage', bedIds, to: 'emergence', why: 'half shows green' });
    expect(stagesOf()).toEqual(['emergence', 'emergence']);
    await changed(rig, { kind: 'stage', bedIds, to: 'back', why: 'too early' });
    expect(stagesOf()).toEqual(before);
    expect(lastAuditEntries(rig.db, 20).filter((step) => step.kind === 'stage_moved')).toHaveLength(
      4,
    );
  });

  it('releases water with a fresh plan that is confirmed', async () => {
    const rig = await pageRig();
    await rig.plan();
    await rig.post('/api/hold', { beds: ['green-1'], why: 'leak', who: 'A. Keeper' });
    await changed(rig, { kind: 'replan' });
    expect(plannedBed(rig, 'green-1').cycles).toEqual([]);
    await changed(rig, { kind: 'release', beds: 'all' });
    expect(plannedBed(rig, 'green-1').cycles.length).toBeGreaterThan(0);
    expect((await today(rig)).newest?.liftsHolds).toEqual([1]);
    await confirmNewest(rig);
    expect((await today(rig)).holds).toEqual([]);
  });
});
