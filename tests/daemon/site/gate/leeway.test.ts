import { beforeEach, describe, expect, it } from 'vitest';
import { standingRuns } from '../../../../adapters/plan-document.ts';
import { cyclesOfPlan, type StandingCycle } from '../../../../calc/schedule/leeway-change.ts';
import { morningJob } from '../../../../daemon/service/jobs/planning-jobs.ts';
import { holdWater, planInForce, standingOf } from '../../../../daemon/site/gate/gate.ts';
import {
  type AskedChange,
  judgeUse,
  type UseRefusalCode,
  type UseState,
  useLeeway,
} from '../../../../daemon/site/gate/use-leeway.ts';
import {
  confirmedCycles,
  type OverstepCode,
  withinLeeway,
} from '../../../../daemon/site/gate/within-leeway.ts';
import { leewayUses } from '../../../../daemon/site/store/leeway-uses.ts';
import { openOrders } from '../../../../daemon/site/store/outbox.ts';
import {
  newestConfirmation,
  newestPlan,
  type StoredConfirmation,
} from '../../../../daemon/site/store/plans.ts';
import { jobRig } from '../../job-rig.ts';

const MIN_MS = 60_000;
const HOUR_MS = 60 * MIN_MS;
const ALL = ['bed-1', 'bed-2', 'bed-3'];

/** The invented site with its morning plan, confirmed with its leeway on these beds; null: as laid. */
async function confirmedSite(bedIds: string[] | null = ALL) {
  const rig = jobRig();
  await morningJob(rig.parts).work();
  const stored = newestPlan(rig.db);
  if (stored === null) throw new Error('there is no plan');
  rig.goTo(2);
  rig.confirm(stored, rig.at(2), bedIds);
  const inForce = newestConfirmation(rig.db);
  if (inForce === null) throw new Error('there is no confirm');
  return { ...rig, stored, inForce, cycles: confirmed(inForce) };
}

function confirmed({ stored, atMs }: StoredConfirmation): StandingCycle[] {
  return confirmedCycles({ plan: stored.plan, confirmedMs: atMs });
}

function moved(cycle: StandingCycle, byMin: number): StandingCycle {
  const by = byMin * MIN_MS;
  return {
    ...cycle,
    startMs: cycle.startMs + by,
    endMs: cycle.endMs + by,
    runs: cycle.runs.map((run) => ({ ...run, startMs: run.startMs + by })),
  };
}

const replaced = (cycles: readonly StandingCycle[], was: StandingCycle, now: StandingCycle) =>
  cycles.map((one) => (one === was ? now : one));

describe('what is within the leeway of a confirm', () => {
  let site: Awaited<ReturnType<typeof confirmedSite>>;
  beforeEach(async () => {
    site = await confirmedSite();
  });
  const given = () => ({
    plan: site.stored.plan,
    confirmedMs: site.inForce.atMs,
    bedIds: ALL as readonly string[] | null,
  });
  const leewayOf = (bedId: string) => {
    const bed = site.stored.plan.leeway?.beds.find((one) => one.bedId === bedId);
    if (bed === undefined) throw new Error(`no leeway of ${bedId}`);
    return bed;
  };
  /** A cycle of bed-1 with two hours before and after it free of water, or nearly so. */
  const middle = () => {
    const own = site.cycles.filter(({ bedId }) => bedId === 'bed-1');
    const cycle = own[Math.floor(own.length / 2)];
    if (cycle === undefined) throw new Error('no cycle');
    return cycle;
  };
  const spareOf = (number: number, byMin: number): StandingCycle => ({
    ...moved(middle(), byMin),
    origin: { spare: number },
  });

  it('offers what the futures of the beds would want, and no more than the site lets', () => {
    const { leeway, beds } = site.stored.plan;
    expect(leeway?.beds.map(({ bedId }) => bedId)).toEqual(ALL);
    for (const bed of leeway?.beds ?? []) {
      expect(bed.laidCycles).toBe(beds.find(({ bedId }) => bedId === bed.bedId)?.cycles.length);
      expect(bed.spareCycles).toBeGreaterThanOrEqual(1);
      expect(bed.spareCycles).toBeLessThanOrEqual(3);
      expect(bed.leaveOutCycles).toBeGreaterThanOrEqual(0);
      expect(bed.leaveOutCycles).toBeLessThanOrEqual(bed.laidCycles);
      expect(bed.mostCycles).toBe(bed.laidCycles + bed.spareCycles);
    }
  });

  it('is the plan as it was confirmed, and one whose cycles move by less than their minutes', () => {
    expect(withinLeeway(given(), site.cycles)).toBeNull();
    const was = middle();
    expect(withinLeeway(given(), replaced(site.cycles, was, moved(was, -7)))).toBeNull();
    expect(withinLeeway(given(), replaced(site.cycles, was, moved(was, 7)))).toBeNull();
  });

  const oversteps: [OverstepCode, () => StandingCycle[]][] = [
    ['moved_too_far', () => replaced(site.cycles, middle(), moved(middle(), 41))],
    ['used_twice', () => [...site.cycles, moved(middle(), 25)]],
    ['not_of_plan', () => [...site.cycles, { ...moved(middle(), 25), origin: { cycle: 99 } }]],
    ['not_of_plan', () => [...site.cycles, { ...middle(), bedId: 'bed-9' }]],
    ['too_many_spares', () => [...site.cycles, spareOf(leewayOf('bed-1').spareCycles + 1, 25)]],
    ['too_many_spares', () => [...site.cycles, spareOf(0, 25)]],
    ['too_many_spares', () => [...site.cycles, spareOf(1.5, 25)]],
    ['outside_hours', () => [...site.cycles, spareOf(1, 14 * 60)]],
    ['outside_hours', () => [...site.cycles, spareOf(1, -14 * 60)]],
    ['too_soon_after', () => [...site.cycles, spareOf(1, 8)]],
    ['too_many_left_out', () => site.cycles.filter(({ bedId }) => bedId !== 'bed-1')],
    [
      'too_many_rotations',
      () => {
        const most = leewayOf('bed-1').mostRotations + 1;
        const was = middle();
        const endMs = was.startMs + most * 120_000 + MIN_MS;
        const runs = was.runs.map((run) => ({ ...run, rotations: most, runS: most * 120 }));
        return replaced(site.cycles, was, { ...was, endMs, rotations: most, runs });
      },
    ],
    [
      'runs_differ',
      () => {
        const was = middle();
        const runs = was.runs.map((run) => ({ ...run, runS: run.runS + 600 }));
        return replaced(site.cycles, was, { ...was, runs });
      },
    ],
    [
      'runs_differ',
      () => {
        const was = middle();
        const runs = was.runs.map((run) => ({ ...run, stationId: 's-2a' }));
        return replaced(site.cycles, was, { ...was, runs });
      },
    ],
    ['runs_differ', () => replaced(site.cycles, middle(), { ...middle(), runs: [] })],
    // Longer than its rotations, though within the cycle's own end.
    [
      'runs_differ',
      () => {
        const was = middle();
        const runs = was.runs.map((run) => ({ ...run, runS: run.runS + 60 }));
        return replaced(site.cycles, was, { ...was, endMs: was.endMs + HOUR_MS, runs });
      },
    ],
    [
      'runs_differ',
      () => {
        const was = middle();
        const runs = was.runs.map((run) => ({ ...run, stationId: 's-1a' }));
        return replaced(site.cycles, was, { ...was, endMs: was.endMs + HOUR_MS, runs });
      },
    ],
    [
      'runs_differ',
      () => {
        const was = middle();
        const runs = was.runs.map((run) => ({ ...run, startMs: run.startMs - 3 * MIN_MS }));
        return replaced(site.cycles, was, { ...was, runs });
      },
    ],
    [
      'runs_differ',
      () => replaced(site.cycles, middle(), { ...middle(), endMs: middle().startMs }),
    ],
  ];
  it.each(oversteps)('%s is none', (code, cycles) => {
    expect(withinLeeway(given(), cycles())).toMatchObject({ code });
  });

  it('keeps a moved cycle within the hours of water, or those that it had', () => {
    const { leeway } = site.stored.plan;
    const was = middle();
    if (leeway === undefined) throw new Error('no leeway');
    const within = (fromMs: number, untilMs: number) => {
      const beds = leeway.beds.map((bed) =>
        bed.bedId === 'bed-1' ? { ...bed, fromMs, untilMs } : bed,
      );
      return { ...given(), plan: { ...site.stored.plan, leeway: { ...leeway, beds } } };
    };
    const narrow = within(was.startMs - 5 * MIN_MS, was.endMs + 5 * MIN_MS);
    for (const [byMin, code] of [
      [4, null],
      [-4, null],
      [9, 'outside_hours'],
      [-9, 'outside_hours'],
    ] as const) {
      const changed = replaced(site.cycles, was, moved(was, byMin));
      expect(withinLeeway(narrow, changed)?.code ?? null, `${byMin} min`).toBe(code);
    }
  });

  it('asks no more of the pump, and has no more water, than the plan was confirmed for', () => {
    const { ground } = site.stored.plan;
    if (ground === undefined) throw new Error('no ground');
    const limits = { ...ground.limits, pumpFlowLPerMin: 150 };
    const weak = { ...site.stored.plan, ground: { ...ground, limits } };
    expect(withinLeeway({ ...given(), plan: weak }, site.cycles)).toEqual({
      code: 'supply_broken',
      bedId: null,
    });
    const { leeway } = site.stored.plan;
    if (leeway === undefined) throw new Error('no leeway');
    const beds = leeway.beds.map((bed) => ({
      ...bed,
      mostL: bed.bedId === 'bed-2' ? 10 : bed.mostL,
    }));
    const bedDry = { ...site.stored.plan, leeway: { ...leeway, beds } };
    const was = site.cycles.find(({ bedId }) => bedId === 'bed-2');
    if (was === undefined) throw new Error('no cycle');
    const changed = replaced(site.cycles, was, moved(was, 3));
    expect(withinLeeway({ ...given(), plan: bedDry }, changed)).toEqual({
      code: 'too_much_water',
      bedId: 'bed-2',
    });
    const dry = { ...site.stored.plan, leeway: { ...leeway, mostL: 10 } };
    expect(withinLeeway({ ...given(), plan: dry }, site.cycles)).toEqual({
      code: 'too_much_water',
      bedId: null,
    });
  });

  it('leaves a bed as laid that a person has taken out of it, and every bed without it', () => {
    const changed = replaced(site.cycles, middle(), moved(middle(), 7));
    expect(withinLeeway({ ...given(), bedIds: ['bed-2', 'bed-3'] }, changed)).toEqual({
      code: 'bed_not_in_it',
      bedId: 'bed-1',
    });
    expect(withinLeeway({ ...given(), bedIds: null }, site.cycles)).toMatchObject({
      code: 'no_leeway',
    });
    const { leeway: _, ...bare } = site.stored.plan;
    expect(withinLeeway({ ...given(), plan: bare }, site.cycles)).toMatchObject({
      code: 'no_leeway',
    });
  });
});

/** A site that lets its days be followed, with one output and nothing in the way. */
const followed = (on: Pick<Parameters<typeof useLeeway>[0], 'db' | 'clock' | 'nowMs'>) => ({
  ...on,
  outputs: ['file'],
  isLet: true,
  stretches: [],
  sayUses: () => '',
});

describe('the use of a leeway', () => {
  const base = async (bedIds: string[] | null = ALL) => {
    const site = await confirmedSite(bedIds);
    const [first] = site.cycles.filter(({ bedId }) => bedId === 'bed-1').slice(2);
    if (first === undefined) throw new Error('no cycle');
    const nowMs = first.startMs - 2 * HOUR_MS;
    const change: AskedChange = {
      confirmationId: site.inForce.confirmationId,
      afterNumber: 0,
      cycles: replaced(site.cycles, first, moved(first, 6)),
      measuredMs: nowMs - 30 * MIN_MS,
      dryBedIds: [],
    };
    const state: UseState = {
      inForce: site.inForce,
      isLet: true,
      newest: null,
      holds: [],
      keepOffs: [],
      stretches: [],
    };
    return { ...site, first, nowMs, change, state };
  };
  let site: Awaited<ReturnType<typeof base>>;
  beforeEach(async () => {
    site = await base();
  });
  const added = () => {
    const cycle = { ...moved(site.first, 25), origin: { spare: 1 } };
    const cycles = [...site.cycles, cycle].filter(
      (one) =>
        one === cycle ||
        one.bedId !== 'bed-1' ||
        one.startMs < cycle.startMs - 20 * MIN_MS ||
        one.startMs > cycle.endMs + 25 * MIN_MS,
    );
    return { ...site.change, cycles };
  };

  it('is let out where nothing speaks against it', () => {
    expect(judgeUse(site.state, { change: site.change, nowMs: site.nowMs })).toBeNull();
  });

  const refusals: [UseRefusalCode, () => { state?: object; change?: object; nowMs?: number }][] = [
    ['not_in_force', () => ({ state: { inForce: null } })],
    ['not_in_force', () => ({ change: { confirmationId: 99 } })],
    ['no_leeway', () => ({ state: { isLet: false } })],
    ['no_leeway', () => ({ state: { inForce: { ...site.inForce, leewayBedIds: null } } })],
    ['day_over', () => ({ nowMs: site.stored.plan.endMs })],
    ['stopped', () => ({ state: { holds: [{ beds: ['bed-3'] }] } })],
    ['changed_since', () => ({ state: { newest: { number: 1, atMs: 0, cycles: site.cycles } } })],
    [
      'moved_too_far',
      () => ({ change: { cycles: replaced(site.cycles, site.first, moved(site.first, 50)) } }),
    ],
    ['too_late', () => ({ nowMs: site.first.startMs - MIN_MS })],
    // Moved to where an order would come too late.
    [
      'too_late',
      () => ({
        nowMs: site.first.startMs - 8 * MIN_MS,
        change: { cycles: replaced(site.cycles, site.first, moved(site.first, -7)) },
      }),
    ],
    ['too_late', () => ({ nowMs: site.first.startMs + 5 * MIN_MS })],
    [
      'in_keep_off',
      () => ({
        state: {
          stretches: [
            {
              bedId: 'bed-1',
              startMs: site.first.startMs + 7 * MIN_MS,
              endMs: site.first.startMs + HOUR_MS,
              why: 'mowing',
            },
          ],
        },
      }),
    ],
    [
      'in_keep_off',
      () => ({
        state: {
          keepOffs: [
            {
              keepOffId: 1,
              atMs: site.nowMs - MIN_MS,
              who: 'B. Keeper (invented)',
              why: 'mowing',
              beds: 'all',
              untilMs: null,
              labelIntervalS: 0,
              endedMs: null,
              endedBy: null,
              takenBackMs: null,
            },
          ],
        },
      }),
    ],
  ];
  it.each(refusals)('%s keeps it in', (code, given) => {
    const { state = {}, change = {}, nowMs = site.nowMs } = given();
    const asked = { change: { ...site.change, ...change }, nowMs };
    expect(judgeUse({ ...site.state, ...state }, asked)).toMatchObject({ code });
  });

  it('adds nothing on weather that nobody has measured, but to a bed that somebody found dry', () => {
    const judge = (more: Partial<AskedChange>) =>
      judgeUse(site.state, { change: { ...added(), ...more }, nowMs: site.nowMs }, () => null);
    expect(judge({})).toBeNull();
    expect(judge({ measuredMs: null })).toEqual({ code: 'not_measured', bedId: 'bed-1' });
    expect(judge({ measuredMs: site.nowMs - 121 * MIN_MS })?.code).toBe('not_measured');
    expect(judge({ measuredMs: null, dryBedIds: ['bed-2'] })?.code).toBe('not_measured');
    expect(judge({ measuredMs: null, dryBedIds: ['bed-1'] })).toBeNull();
  });

  it('writes its row, its order and its line, and what stands then is owed to every output', async () => {
    const { db, change, nowMs, config, first } = await base();
    const used = useLeeway(
      {
        ...followed({ db, clock: config.clock, nowMs }),
        outputs: ['file', 'other'],
        sayUses: (uses) => JSON.stringify(uses),
      },
      change,
    );
    expect(used).toMatchObject({ ok: true, number: 1, uses: [{ bedId: 'bed-1', leftOut: [] }] });
    const inForce = planInForce(db, nowMs);
    if (inForce === null) throw new Error('nothing is in force');
    expect(inForce.change?.number).toBe(1);
    const starts = standingRuns(inForce).map(({ startMs }) => startMs);
    expect(starts).toContain(first.startMs + 6 * MIN_MS);
    expect(openOrders(db).map(({ orderId, output }) => `${output} ${orderId.slice(-3)}`)).toEqual([
      'file -c1',
      'other -c1',
    ]);
    // The same change again is one after another that it does not know of.
    const again = useLeeway(followed({ db, clock: config.clock, nowMs }), change);
    expect(again).toEqual({ ok: false, refusal: { code: 'changed_since', bedId: null } });
    expect(leewayUses(db, change.confirmationId)).toHaveLength(1);
  });

  it('is over with the first stop', async () => {
    const { db, change, nowMs, config } = await base();
    holdWater(
      { db, clock: config.clock, outputs: ['file'], nowMs },
      { who: 'B. Keeper (invented)', why: 'people on the turf', beds: ['bed-2'], untilMs: null },
    );
    const used = useLeeway(followed({ db, clock: config.clock, nowMs }), change);
    expect(used).toEqual({ ok: false, refusal: { code: 'stopped', bedId: null } });
  });

  it('takes nothing from a row that oversteps, nor a leeway that the log does not tell of', async () => {
    const { db, inForce, cycles, first, nowMs } = await base();
    const far = replaced(cycles, first, moved(first, 90));
    db.prepare(
      'INSERT INTO leeway_use (confirmation_id, number, at_ms, cycles) VALUES (?, 1, ?, ?)',
    ).run(inForce.confirmationId, nowMs, JSON.stringify(far));
    expect(standingOf(db, inForce.confirmationId)).toMatchObject({
      confirmed: null,
      because: 'store_altered',
      fault: { code: 'leeway_overstepped', number: 1 },
    });
    const laid = await base(null);
    laid.db
      .prepare('INSERT INTO leeway_given (confirmation_id, beds) VALUES (?, ?)')
      .run(laid.inForce.confirmationId, JSON.stringify(ALL));
    expect(standingOf(laid.db, laid.inForce.confirmationId)).toMatchObject({
      because: 'store_altered',
      fault: { code: 'not_in_log' },
    });
  });

  it('is asked for at the confirm, for beds that have one', async () => {
    const rig = jobRig();
    await morningJob(rig.parts).work();
    const stored = newestPlan(rig.db);
    if (stored === null) throw new Error('there is no plan');
    expect(() => rig.confirm(stored, null, ['bed-9'])).toThrow('leeway_not_offered');
    rig.confirm(stored, null, ['bed-2']);
    expect(newestConfirmation(rig.db)?.leewayBedIds).toEqual(['bed-2']);
    expect(rig.steps('leeway_given').map(({ what }) => what)).toEqual(['bed-2']);
    expect(cyclesOfPlan(stored.plan).length).toBeGreaterThan(0);
  });
});
