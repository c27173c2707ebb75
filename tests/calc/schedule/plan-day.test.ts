import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { DayPlan } from '../../../calc/schedule/day-plan.ts';
import { type DayPlanInput, planDay } from '../../../calc/schedule/plan-day.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import { dayFrame } from '../../../calc/schedule/water-hours.ts';
import { randomDay } from '../../random-site.ts';

const SEED = 20_260_701;
const options = { seed: SEED, numRuns: 150 };

/** Flow of a set of runs at the instants where it can rise: their starts. */
function peakFlow(runs: readonly Run[], flowOf: (run: Run) => number): number {
  return Math.max(
    0,
    ...runs.map((one) =>
      runs
        .filter(
          (other) =>
            other.startMs <= one.startMs && one.startMs < other.startMs + other.runS * 1000,
        )
        .reduce((sum, other) => sum + flowOf(other), 0),
    ),
  );
}

function endMs(run: Run): number {
  return run.startMs + run.runS * 1000;
}

describe('planDay on random invented sites', () => {
  // Planned once for all properties that look at a plan; the seed gives the same days again.
  const days = fc
    .sample(randomDay, options)
    .map((input): [DayPlanInput, DayPlan] => [input, planDay(input)]);
  const property = (check: (input: DayPlanInput, plan: DayPlan) => void) => {
    for (const [input, plan] of days) check(input, plan);
  };

  it('never passes the pump, a main, or the stations at once', () => {
    let runsSeen = 0;
    property(({ site }, { runs }) => {
      runsSeen += runs.length;
      const stationOf = new Map(site.stations.map((station) => [station.id, station]));
      const flow = (run: Run) => stationOf.get(run.stationId)?.flowLPerMin ?? 0;
      expect(peakFlow(runs, flow)).toBeLessThanOrEqual(site.limits.pumpFlowLPerMin + 1e-6);
      expect(peakFlow(runs, () => 1)).toBeLessThanOrEqual(site.limits.stationsAtOnce);
      for (const main of site.limits.mains) {
        const onMain = runs.filter((run) => stationOf.get(run.stationId)?.mainId === main.id);
        expect(peakFlow(onMain, flow)).toBeLessThanOrEqual(main.flowLPerMin + 1e-6);
      }
    });
    // The property must have had something to check.
    expect(runsSeen).toBeGreaterThan(300);
  });

  it('keeps the gap between valve starts, the rest of each bed and the bounds of the day', () => {
    property((input, plan) => {
      const { limits } = input.site;
      const { window } = dayFrame(input);
      const starts = plan.runs.map((run) => run.startMs).sort((a, b) => a - b);
      for (const [index, start] of starts.slice(1).entries()) {
        expect(start - (starts[index] ?? 0)).toBeGreaterThanOrEqual(limits.startGapS * 1000);
      }
      for (const run of plan.runs) {
        expect(run.startMs).toBeGreaterThanOrEqual(Math.max(window.firstStartMs, input.startMs));
        expect(endMs(run)).toBeLessThanOrEqual(window.lastEndMs);
      }
      for (const bed of plan.beds) {
        for (const [index, cycle] of bed.cycles.slice(1).entries()) {
          const before = bed.cycles[index];
          expect(cycle.startMs - (before?.endMs ?? 0)).toBeGreaterThanOrEqual(
            limits.restMin * 60_000,
          );
        }
      }
    });
  });

  it('opens no more within a minute than may come up, and keeps the allowances', () => {
    let bound = 0;
    property(({ site, ranBefore }, { runs, seasonWater }) => {
      const { pumpRiseLPerMin, dayAllowanceL } = site.limits;
      const stationOf = new Map(site.stations.map((station) => [station.id, station]));
      const flow = (run: Run) => stationOf.get(run.stationId)?.flowLPerMin ?? 0;
      if (dayAllowanceL !== null) {
        const waterL = runs.reduce((sum, run) => sum + (flow(run) * run.runS) / 60, 0);
        expect(waterL + (ranBefore?.dayL ?? 0)).toBeLessThanOrEqual(dayAllowanceL + 1e-6);
      }
      expect(seasonWater === undefined).toBe(site.limits.seasonAllowanceL === null);
      if (seasonWater !== undefined) expect(seasonWater.leftL).toBeGreaterThanOrEqual(-1e-6);
      if (pumpRiseLPerMin === null) return;
      bound += 1;
      for (const one of runs) {
        const opened = runs.filter(
          (run) => run.startMs >= one.startMs && run.startMs < one.startMs + 60_000,
        );
        const rise = opened.reduce((sum, run) => sum + flow(run), 0);
        expect(rise).toBeLessThanOrEqual(pumpRiseLPerMin + 1e-6);
      }
    });
    expect(bound).toBeGreaterThan(30);
  });

  it('never starts the pump again before it has rested', () => {
    let bound = 0;
    property(({ site, ranBefore }, { runs }) => {
      const { pumpRestS } = site.limits;
      if (pumpRestS === 0) return;
      let stoppedMs = ranBefore?.pumpStoppedMs ?? Number.NEGATIVE_INFINITY;
      for (const run of runs.toSorted((a, b) => a.startMs - b.startMs)) {
        if (run.startMs > stoppedMs) {
          expect(run.startMs - stoppedMs).toBeGreaterThanOrEqual(pumpRestS * 1000);
          bound += 1;
        }
        stoppedMs = Math.max(stoppedMs, endMs(run));
      }
    });
    expect(bound).toBeGreaterThan(50);
  });

  it('runs nothing in a keep-off', () => {
    property(({ keepOffs }, { runs }) => {
      for (const run of runs) {
        const inside = keepOffs.filter(
          (off) => off.bedId === run.bedId && run.startMs < off.endMs && endMs(run) > off.startMs,
        );
        expect(inside).toEqual([]);
      }
    });
  });

  it('gives whole rotations, never over the cap unless one rotation is', () => {
    property(({ site, stages }, plan) => {
      const stationOf = new Map(site.stations.map((station) => [station.id, station]));
      const capOf = new Map(site.beds.map((bed) => [bed.id, stages[bed.stage].doseCapMm]));
      for (const run of plan.runs) {
        const rotationS = stationOf.get(run.stationId)?.rotationS ?? 0;
        expect(run.runS).toBeGreaterThanOrEqual(run.rotations * rotationS);
        expect(run.runS).toBeLessThan(run.rotations * rotationS + site.limits.runStepS);
        if (run.rotations > 1)
          expect(run.netMm).toBeLessThanOrEqual((capOf.get(run.bedId) ?? 0) + 1e-6);
      }
    });
  });

  it('drains nothing unless one rotation is more than the store can take, or rain fell', () => {
    property(({ hours }, plan) => {
      if (hours.some((hour) => hour.rainMm > 0)) return;
      for (const bed of plan.beds) {
        for (const cycle of bed.cycles) {
          // Up to 0.06 mm is the night's dew on a store that the last cycle has filled.
          if (cycle.rotations > 1) expect(cycle.drainedMm).toBeLessThan(0.07);
        }
      }
    });
  });

  it('names every bed that is dry in daylight', () => {
    property((_, plan) => {
      for (const bed of plan.beds) {
        if (bed.minutesBelowDryLimit < 15) continue;
        expect(plan.shortages.map((one) => one.bedId)).toContain(bed.bedId);
      }
    });
  });

  it('gives the same plan for the same input, byte for byte', () => {
    fc.assert(
      fc.property(randomDay, (input) => {
        expect(JSON.stringify(planDay(input))).toBe(
          JSON.stringify(planDay(structuredCloneOf(input))),
        );
      }),
      { ...options, numRuns: 40 },
    );
  });

  it('does not depend on the order of beds in the config', () => {
    fc.assert(
      fc.property(randomDay, (input) => {
        const turned = { ...input, site: { ...input.site, beds: input.site.beds.toReversed() } };
        const byBed = (plan: DayPlan) =>
          new Map(plan.beds.map((bed) => [bed.bedId, JSON.stringify(bed)]));
        expect(byBed(planDay(turned))).toEqual(byBed(planDay(input)));
      }),
      { ...options, numRuns: 60 },
    );
  });
});

function structuredCloneOf(input: DayPlanInput): DayPlanInput {
  const { stores, ...data } = input;
  return { ...structuredClone(data), stores };
}
