import { describe, expect, it } from 'vitest';
import { dryBalance } from '../../../calc/schedule/bed-balance.ts';
import { stateUnknown } from '../../../calc/schedule/bed-stores.ts';
import { bedDemand, stepGrid } from '../../../calc/schedule/demand.ts';
import { placementPass } from '../../../calc/schedule/placement-pass.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import { dayFrame } from '../../../calc/schedule/water-hours.ts';
import { bigSite, identicalBeds } from '../../bench/big-site.ts';
import { flowLevels, spreadOf } from '../../flow-levels.ts';
import { unsureSand } from '../../unsure-sand.ts';

/** Loss of wet bare soil against reference ET. */
const WET_SOIL_FRACTION = 1.1;

/** The same day with every cycle at its latest safe start. */
function unlevelled(input: ReturnType<typeof bigSite>) {
  const { window, horizonEndMs } = dayFrame(input);
  const grid = stepGrid(input.startMs, horizonEndMs);
  const pass = placementPass({
    beds: input.site.beds.map((bed) => {
      const store = input.stores.get(bed.id);
      if (store === undefined) throw new Error(`no store for ${bed.id}`);
      const stage = input.stages[bed.stage];
      const demand = bedDemand(bed, input.hours, WET_SOIL_FRACTION, grid);
      return {
        bed,
        stations: input.site.stations.filter((one) => one.bedId === bed.id),
        balance: dryBalance({ store, grid, demand, stateNow: stateUnknown(store) }),
        doseCapMm: stage.doseCapMm,
        keepOffs: [],
      };
    }),
    limits: input.site.limits,
    window,
    startMs: input.firstRunMs,
    kept: [],
    driftAt: () => 0.15,
    slotMs: 30_000,
  });
  return pass.cycles.flatMap((cycle) =>
    cycle.block.runs.map((run) => ({
      stationId: run.station.id,
      startMs: cycle.startMs + run.offsetS * 1000,
      runS: run.runS,
    })),
  );
}

describe('the flow over the busy hours of an invented day', () => {
  it('is level where beds that are all alike come due together', () => {
    // Of a sand that is known, water is due so late that two turns have room within minutes of it.
    const known = identicalBeds(18);
    const sand = unsureSand({ capacityMm: 1.4, lessMm: 0.28, feedMmPerH: 0.05 });
    const input = { ...known, stores: new Map(known.site.beds.map(({ id }) => [id, sand])) };
    const plan = planDay(input);
    const level = spreadOf(flowLevels(input, plan.runs));
    const bunched = spreadOf(flowLevels(input, unlevelled(input)));
    expect(bunched.variation).toBeGreaterThan(0.7);
    expect(level.variation).toBeLessThan(0.3);
    expect(level.withinFraction).toBeGreaterThan(0.6);
    expect(plan.shortages).toEqual([]);
  });

  it('is level on several sands as well, and says why a cycle was moved', () => {
    const input = bigSite(18);
    const plan = planDay(input);
    expect(spreadOf(flowLevels(input, plan.runs)).variation).toBeLessThan(0.3);
    const codes = plan.beds.flatMap((bed) =>
      bed.cycles.flatMap((cycle) => cycle.reasons.map((reason) => reason.code)),
    );
    expect(codes).toContain('earlier_to_level');
  });

  it('goes before a wind above the limit where a dose has room by then', () => {
    const calm = bigSite(6);
    const fromMs = calm.dayStartMs + 13 * 3_600_000;
    const input = {
      ...calm,
      hours: calm.hours.map((hour) =>
        hour.startMs >= fromMs && hour.startMs < fromMs + 7_200_000
          ? { ...hour, windMPerS: 4.5 }
          : hour,
      ),
    };
    const limits = { ...input.site.limits, windLimitMPerS: 99 };
    const windy = (plan: ReturnType<typeof planDay>) =>
      plan.beds.flatMap((bed) =>
        bed.cycles.filter((one) => one.startMs >= fromMs && one.startMs < fromMs + 7_200_000),
      ).length;
    const minding = planDay(input);
    const careless = planDay({ ...input, site: { ...input.site, limits } });
    expect(windy(minding)).toBeLessThan(windy(careless));
    const reasons = minding.beds.flatMap((bed) => bed.cycles.flatMap((one) => one.reasons));
    expect(reasons.map((one) => one.code)).toContain('earlier_for_lull');
  });
});
