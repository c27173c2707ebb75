import { describe, expect, it } from 'vitest';
import { keepWorkedOutPlan, makePlan, workOutPlan } from '../../../daemon/planning/make-plan.ts';
import { holdWater } from '../../../daemon/site/gate/gate.ts';
import { addFieldReport } from '../../../daemon/site/store/field-reports.ts';
import { openHolds } from '../../../daemon/site/store/holds-and-keep-offs.ts';
import { newestPlan, plansOf } from '../../../daemon/site/store/plans.ts';
import { jobRig } from '../job-rig.ts';

const ASKED = { cause: 'person', who: 'A. Keeper (invented)', lift: 'none' } as const;

/** A site at which something happens each time that a plan has been worked out. */
function siteWhere(happens: (tries: number) => void | Promise<void>) {
  const rig = jobRig();
  const { db, config, parts } = rig;
  const context = { db, config, weather: parts.weather, nowMs: rig.at(0) };
  let tries = 0;
  return {
    ...rig,
    context,
    tries: () => tries,
    keep: () =>
      keepWorkedOutPlan(context, ASKED, async () => {
        const made = await workOutPlan(context, { lift: 'none' });
        tries += 1;
        await happens(tries);
        return made;
      }),
  };
}

describe('keeping a plan that was worked out', () => {
  it('works it out anew when a hold came between: the plan that is kept knows of it', async () => {
    const site = siteWhere((tries) => {
      if (tries > 1) return;
      const { db, clock } = { db: site.db, clock: site.config.clock };
      const hold = { who: 'B. Keeper', why: 'invented', beds: 'all', untilMs: null } as const;
      holdWater({ db, clock, outputs: ['file'], nowMs: site.at(0) }, hold);
    });
    const stored = await site.keep();
    expect(site.tries()).toBe(2);
    expect(stored?.lastHoldId).toBe(openHolds(site.db)[0]?.holdId);
    expect(stored?.plan.runs).toEqual([]);
  });

  it('takes no right to write while it is worked out', async () => {
    const locked: boolean[] = [];
    const site = siteWhere(() => void locked.push(site.db.inTransaction));
    await site.keep();
    expect(locked).toEqual([false]);
  });

  it('keeps it at last where reports never cease, for they change no other plan', async () => {
    const site = siteWhere((tries) => {
      const startMs = site.at(tries);
      const ran = { kind: 'ran', output: 'file', stationId: 's-1a', startMs, runS: 60 } as const;
      addFieldReport(site.db, { ...ran, flowLPerMin: null, atMs: startMs }, startMs);
    });
    const stored = await site.keep();
    expect(site.tries()).toBe(4);
    expect(stored?.plan.revision).toBe(1);
    expect(plansOf(site.db, stored?.plan.siteDay ?? '')).toHaveLength(1);
  });

  it('gives up where others make plans faster, and keeps none twice', async () => {
    const site = siteWhere(async () => void (await makePlan(site.context, ASKED)));
    await expect(site.keep()).rejects.toThrow('others were made while it was worked out');
    expect(newestPlan(site.db)?.plan.revision).toBe(4);
  });

  it('keeps nothing where there is no reason for a plan', async () => {
    const { db, config, at } = jobRig();
    const none = await keepWorkedOutPlan({ db, config, nowMs: at(0) }, ASKED, async () => null);
    expect(none).toBeNull();
    expect(newestPlan(db)).toBeNull();
  });
});
