import { describe, expect, it } from 'vitest';
import type { BedView } from '../../../../daemon/faces/web/views/bed-view.ts';
import type { TodayView } from '../../../../daemon/faces/web/views/today-view.ts';
import { CAUTIONS } from '../../../../daemon/site/gate/valid-confirm.ts';
import { newestConfirmation } from '../../../../daemon/site/store/plans.ts';
import { MORNING_MS, type PageRig, pageRig } from './page-rig.ts';

const MINUTE_MS = 60_000;
const cautions = CAUTIONS.map((caution) => caution.code);

async function today(rig: PageRig): Promise<TodayView> {
  const { status, body } = await rig.get('/api/today');
  expect(status).toBe(200);
  return body as unknown as TodayView;
}

const confirm = (
  rig: PageRig,
  asked: { revision: number; digest: string; leewayBedIds?: string[] },
) => rig.post('/api/confirm', { ...asked, who: 'A. Keeper', cautions });

describe('GET /api/today', () => {
  it('says so where there is no plan yet', async () => {
    const view = await today(await pageRig());
    expect(view).toMatchObject({ newest: null, inForce: null, beds: [], day: null, line: null });
    expect(view.waiting.map(({ kind }) => kind)).toEqual(['no_plan']);
  });

  it('shows a held plan: what waits, the beds worst first, the day, the cycles as planned', async () => {
    const rig = await pageRig();
    const { plan, digest } = await rig.plan();
    const view = await today(rig);
    expect(view.newest).toMatchObject({ revision: 1, digest, standing: 'held' });
    expect(view.inForce).toBeNull();
    expect(view.waiting[0]).toMatchObject({ kind: 'held_plan' });
    expect(view.cautions.map(({ code }) => code)).toEqual(cautions);
    const dry = view.beds.map((bed) => bed.timeToDryMin ?? Infinity);
    expect(dry).toEqual(dry.toSorted((a, b) => a - b));
    expect(view.beds).toHaveLength(plan.beds.length);
    // Nothing has run: what the beds hold now is what the plan itself found a moment ago.
    for (const bed of view.beds) {
      const own = plan.beds.find((one) => one.bedId === bed.id);
      expect(bed.storeNowMm).toBeCloseTo(own?.storeNowMm ?? Number.NaN, 6);
      expect(bed.dryAtMs).toBe(own?.dryAtMs ?? null);
      expect(own?.dryBandMs).toBeDefined();
      // Where most of what the sand may be lasts into tomorrow, no hour is told.
      if (bed.dryAtMs === null) expect(bed.drySentence).toMatch(/^Not dry before tomorrow/);
      else {
        expect(bed.dryBand).toMatch(/^\d\d:\d\d (to \d\d:\d\d|or later)/);
        expect(bed.drySentence).toMatch(/^Dry at about \d\d:\d\d .* nine times in ten/);
      }
      expect(bed.cyclesLeft).toBe(own?.cycles.length);
    }
    expect(view.line?.cycles.every((cycle) => cycle.state === 'planned')).toBe(true);
    expect(view.line?.cycles).toHaveLength(plan.beds.flatMap((bed) => bed.cycles).length);
    expect(view.day?.line).toMatch(/^A seedbed loses \d/);
    expect(view.day?.riskLine).toMatch(/on at most one day in 20\./);
    expect(view.day?.weatherLine).toMatch(/How far it may be off: /);
  });

  it('gives the pump flow in steps that end at nothing and stay within the limit', async () => {
    const rig = await pageRig();
    await rig.plan();
    const flow = (await today(rig)).line?.flow;
    expect(flow?.flowLPerMin.at(-1)).toBe(0);
    expect(Math.max(...(flow?.flowLPerMin ?? [Infinity]))).toBeLessThanOrEqual(
      rig.config.site.limits.pumpFlowLPerMin,
    );
    expect(Math.max(...(flow?.flowLPerMin ?? []))).toBeGreaterThan(0);
  });

  it('counts what ran for the time to dry, and tells what is only assumed', async () => {
    const rig = await pageRig();
    const { plan, digest } = await rig.plan();
    await confirm(rig, { revision: plan.revision, digest });
    rig.accept();
    const first = plan.beds.flatMap((bed) => bed.cycles).toSorted((a, b) => a.endMs - b.endMs)[0];
    const bed = plan.beds.find((one) => one.cycles.includes(first as (typeof one.cycles)[number]));
    rig.clock.nowMs = (first?.endMs ?? 0) + 10 * MINUTE_MS;
    const view = await today(rig);
    const watered = view.beds.find((one) => one.id === bed?.bedId);
    expect(watered?.dryAtMs ?? Infinity).toBeGreaterThan(bed?.dryAtMs ?? Infinity);
    const cycle = view.line?.cycles.find(
      (one) => one.bedId === bed?.bedId && one.startMs === first?.startMs,
    );
    // No receiver of the demo reports runs.
    expect(cycle?.state).toBe('silent');
    expect(cycle?.stateWords).toBe('assumed to have run: nothing reports what ran');
  });

  it('marks what a hold has withdrawn, and reminds loudly when a bed is about to dry', async () => {
    const rig = await pageRig();
    const { plan, digest } = await rig.plan();
    await confirm(rig, { revision: plan.revision, digest });
    const held = await rig.post('/api/hold', { beds: 'all', why: 'leak', who: 'B. Watcher' });
    expect(held).toMatchObject({ status: 200, body: { line: 'Water stopped: everything.' } });
    rig.clock.nowMs = Math.min(...plan.beds.map((bed) => bed.dryAtMs ?? Infinity)) - 20 * MINUTE_MS;
    const view = await today(rig);
    expect(view.newest?.standing).toBe('stopped');
    expect(view.inForce).toBeNull();
    expect(view.beds.every((bed) => bed.held)).toBe(true);
    const ahead = view.line?.cycles.filter((cycle) => cycle.startMs > rig.clock.nowMs) ?? [];
    expect(ahead.length).toBeGreaterThan(0);
    expect(ahead.every((cycle) => cycle.state === 'withdrawn')).toBe(true);
    expect(view.waiting[0]).toMatchObject({ kind: 'reminder', severity: 'danger' });
    expect(view.waiting[0]?.text).toContain('COST SEED');
  });

  it('keeps the plan in force beside a held one, and says what a confirm would change', async () => {
    const rig = await pageRig();
    const first = await rig.plan();
    await confirm(rig, { revision: 1, digest: first.digest });
    rig.clock.nowMs = MORNING_MS + 90 * MINUTE_MS;
    await rig.plan();
    const view = await today(rig);
    expect(view.newest).toMatchObject({ revision: 2, standing: 'held' });
    expect(view.inForce).toMatchObject({ revision: 1, confirmedBy: 'A. Keeper' });
    expect(view.changes.againstRevision).toBe(1);
    expect(view.changes.lines.length).toBeGreaterThan(0);
  });

  it('changes its version with every row, also of another process', async () => {
    const rig = await pageRig();
    const versions = [(await today(rig)).version];
    const { plan, digest } = await rig.plan();
    versions.push((await today(rig)).version);
    await confirm(rig, { revision: plan.revision, digest });
    versions.push((await today(rig)).version);
    expect(new Set(versions).size).toBe(3);
  });
});

describe('GET /api/bed/:id', () => {
  it('has the store, what drives it, the cycles with their reasons, stage and log', async () => {
    const rig = await pageRig();
    const { plan } = await rig.plan();
    const [bed] = plan.beds;
    const { status, body } = await rig.get(`/api/bed/${bed?.bedId}`);
    expect(status).toBe(200);
    const { series, cycles, stage, looks } = body as unknown as BedView;
    expect(series.storeMm).toEqual(bed?.expectedStore.storeMm);
    expect(series.lossMm).toHaveLength(24);
    expect(cycles.every(({ reason }) => reason !== '')).toBe(true);
    expect(stage).toMatchObject({ stage: bed?.stage });
    expect(looks).toEqual([]);
  });

  it('names the beds when it has no such bed', async () => {
    const rig = await pageRig();
    await rig.plan();
    const { status, body } = await rig.get('/api/bed/nowhere');
    expect(status).toBe(404);
    expect(body).toMatchObject({ code: 'no_such_bed' });
    expect(body.message).toContain('green-1');
  });
});

describe('POST /api/confirm', () => {
  it('confirms exactly what was read', async () => {
    const rig = await pageRig();
    const { plan, digest } = await rig.plan();
    const { status, body } = await confirm(rig, { revision: plan.revision, digest });
    expect(status).toBe(200);
    expect(body.line).toBe('Confirmed: plan 1 of 2026-07-01 by A. Keeper.');
    expect(body.onItsWay).toBe('No receiver has it yet: it goes to file now.');
    expect((await today(rig)).inForce).toMatchObject({ revision: 1 });
  });

  it('confirms as laid, or with the leeway of the beds that are named', async () => {
    const rig = await pageRig();
    const { plan, digest } = await rig.plan();
    const offered = (await today(rig)).leeway;
    expect(offered?.line).toMatch(/^With its leeway the daemon may follow the day/);
    expect(offered?.beds.map(({ id }) => id)).toEqual(plan.beds.map(({ bedId }) => bedId).sort());
    const asked = { revision: plan.revision, digest };
    const wrong = await confirm(rig, { ...asked, leewayBedIds: ['green-9'] });
    expect(wrong.body).toMatchObject({ code: 'leeway_not_offered' });
    const { status } = await confirm(rig, { ...asked, leewayBedIds: ['green-2'] });
    expect(status).toBe(200);
    expect(newestConfirmation(rig.db)?.leewayBedIds).toEqual(['green-2']);
    expect((await today(rig)).inForce?.leewayLines).toEqual([
      'The daemon follows the day within the leeway that A. Keeper confirmed.',
      'Nothing of the leeway has been used.',
    ]);
  });

  it('refuses an outdated one with its code, the newest plan and what changed', async () => {
    const rig = await pageRig();
    const first = await rig.plan();
    rig.clock.nowMs += 90 * MINUTE_MS;
    const second = await rig.plan();
    const { status, body } = await confirm(rig, { revision: 1, digest: first.digest });
    expect(status).toBe(409);
    expect(body).toMatchObject({
      code: 'revision_outdated',
      newest: { revision: 2, digest: second.digest },
    });
    expect(body.changes?.length).toBeGreaterThan(0);
  });

  it('says what to do on the page and names no command there', async () => {
    const rig = await pageRig();
    const { digest } = await rig.plan();
    await rig.post('/api/hold', { beds: 'all', who: 'B. Mower' });
    const { body } = await confirm(rig, { revision: 1, digest });
    expect(body.message).toContain('make a fresh one with “Change, Release water”');
    // Nor does what the log keeps in a terminal's words, or a plan that a hold keeps dry.
    await rig.plan();
    for (const path of ['/api/log', '/api/today', '/api/bed/green-1', '/api/beds']) {
      const { status, text } = await rig.get(path);
      expect(status, path).toBe(200);
      expect(text, path).not.toContain('dewbeat plan');
      expect(text, path).not.toMatch(/`--/);
    }
    // The plan itself has codes: each reader has their own words for them.
    expect((await rig.get('/plan.json')).text).not.toContain('`');
  });

  it('takes one of two people who confirm different things', async () => {
    const rig = await pageRig();
    const first = await rig.plan();
    rig.clock.nowMs += MINUTE_MS;
    const second = await rig.plan();
    const [a, b] = await Promise.all([
      confirm(rig, { revision: 1, digest: first.digest }),
      confirm(rig, { revision: 2, digest: second.digest }),
    ]);
    expect([a.status, b.status]).toEqual([409, 200]);
    expect((await confirm(rig, { revision: 2, digest: second.digest })).body).toMatchObject({
      code: 'already_confirmed',
    });
  });

  it.each([
    ['without a name', { who: '' }, 400, 'name_missing'],
    ['without a caution', { cautions: ['turf_clear'] }, 409, 'cautions_missing'],
    ['with a digest that is none', { digest: 'green' }, 400, 'bad_request'],
    ['with a key that is none', { force: true }, 400, 'bad_request'],
  ])('refuses a confirm %s', async (_, change, status, code) => {
    const rig = await pageRig();
    const { digest } = await rig.plan();
    const body = { revision: 1, digest, who: 'A. Keeper', cautions, ...change };
    const said = await rig.post('/api/confirm', body);
    expect(said).toMatchObject({ status, body: { code } });
    expect((await today(rig)).inForce).toBeNull();
  });
});

describe('POST /api/hold', () => {
  it('stops some beds, without a name too, and tells of names that lead nowhere', async () => {
    const rig = await pageRig();
    await rig.plan();
    const said = await rig.post('/api/hold', { beds: ['green-1', 'gren-2'] });
    expect(said.status).toBe(200);
    expect(said.body.line).toContain(
      'Water stopped: green-1. Of the others: no such bed (got gren-2)',
    );
    const view = await today(rig);
    expect(view.beds.filter((bed) => bed.held).map((bed) => bed.id)).toEqual(['green-1']);
    expect(view.holds[0]?.line).toContain('someone at the page');
  });

  it('stops nothing when no bed is known, and says so', async () => {
    const rig = await pageRig();
    const said = await rig.post('/api/hold', { beds: ['gren-2'], who: 'A. Keeper' });
    expect(said).toMatchObject({ status: 400, body: { code: 'no_such_bed' } });
    expect((await today(rig)).holds).toEqual([]);
  });
});
