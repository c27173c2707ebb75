import { describe, expect, it } from 'vitest';
import type { BedPlan, Cycle } from '../../../calc/schedule/day-plan.ts';
import { planDay } from '../../../calc/schedule/plan-day.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import { bedDryness } from '../../plans/avoidable.ts';
import { drySteps, followed, leftSeries, reserveMm, wateringsOf } from '../../plans/bed-water.ts';
import { falseClaims } from '../../plans/claims.ts';
import { type BedFacts, type DayFacts, dayFacts, STEP_MS } from '../../plans/day-facts.ts';
import { inventedDay } from '../../plans/invented-day.ts';
import { limitBreaches } from '../../plans/limit-breaches.ts';

const ONE_OR_TWO = { leastBeds: 1, mostBeds: 2 };
const SOME = { leastBeds: 2, mostBeds: 4 };
const QUICK = [902, 903, 905, 909, 910].map((seed) => ({ seed, span: ONE_OR_TWO }));
const TIGHT = [900, 901, 902, 903, 904, 908].map((seed) => ({ seed, span: SOME }));

/** What a bed draws on until tomorrow's first water ends with the step in which that falls. */
function stepsToNextWater({ gridStartMs, nextFirstStartMs }: DayFacts): number {
  return Math.floor((nextFirstStartMs - gridStartMs) / STEP_MS) + 1;
}

const sum = (values: readonly number[]) => values.reduce((total, value) => total + value, 0);
const mean = (values: readonly number[]) => sum(values) / values.length;

function expectCycle(cycle: Cycle, runs: readonly Run[], day: DayFacts) {
  const own = runs.filter((run) => run.cycle === cycle.cycle);
  expect(cycle.startMs).toBe(Math.min(...own.map((run) => run.startMs)));
  expect(cycle.endMs).toBe(Math.max(...own.map((run) => run.startMs + run.runS * 1000)));
  expect(cycle.grossMm).toBeCloseTo(mean(own.map((run) => run.grossMm)), 9);
  expect(cycle.netMm).toBeCloseTo(mean(own.map((run) => run.netMm)), 9);
  expect(own.map((run) => run.rotations)).toContain(cycle.rotations);
  expect(cycle.driftLossFraction).toBeCloseTo(day.driftAt(cycle.startMs), 9);
}

/** The figures of a bed's day, from its runs and the facts alone. */
function expectFigures(told: BedPlan, facts: BedFacts, day: DayFacts) {
  const runs = day.plan.runs.filter((run) => run.bedId === told.bedId);
  const steps = stepsToNextWater(day);
  for (const cycle of told.cycles) expectCycle(cycle, runs, day);
  expect(told.cycles.map(({ cycle }) => cycle)).toEqual(told.cycles.map((_, index) => index + 1));
  expect(told.lossMm).toBeCloseTo(sum(facts.demandMm.slice(0, steps)), 9);
  expect(told.rainMm).toBeCloseTo(sum(facts.rainMm.slice(0, steps)), 9);
  expect(told.grossMm).toBeCloseTo(sum(told.cycles.map(({ grossMm }) => grossMm)), 9);
  expect(told.netMm).toBeCloseTo(sum(told.cycles.map(({ netMm }) => netMm)), 9);
  // A modelled sand is planned on flows read off tables, good to 1e-5 mm; the judge works them out.
  expect(told.reserveMm).toBeCloseTo(reserveMm(day, facts), 4);
  const ofStation = facts.stations.map(({ id }) =>
    sum(runs.filter((run) => run.stationId === id).map((run) => run.netMm)),
  );
  if (told.lossMm > 0) {
    expect(told.percentOfLoss).toBeCloseTo((100 * Math.min(...ofStation)) / told.lossMm, 6);
  }
  const left = leftSeries(day, facts, wateringsOf(facts, day.plan.runs)).slice(0, steps + 1);
  expect(told.storeNowMm).toBeCloseTo(left[0] ?? Number.NaN, 3);
  expect(told.expectedStore.storeMm).toHaveLength(left.length);
  const atMs = (step: number) => day.gridStartMs + step * STEP_MS;
  const { startMs, endMs } = day.daylight;
  const byDay = left.filter((_, step) => atMs(step) >= startMs && atMs(step) < endMs);
  expect(told.lowestStoreMm).toBeCloseTo(Math.min(...byDay), 3);
  // Without any water: when the driest part first falls to its limit.
  const { marginMm } = followed(day, facts, []);
  const firstDry = marginMm.findIndex((mm) => mm <= 0);
  if (firstDry === -1) expect(told.dryAtMs).toBeNull();
  else {
    const dryMs = told.dryAtMs ?? Number.NaN;
    expect(dryMs).toBeLessThanOrEqual(atMs(firstDry));
    expect(dryMs).toBeGreaterThanOrEqual(Math.min(atMs(firstDry - 1), atMs(firstDry)));
  }
}

describe.each([...QUICK, ...TIGHT])('the plan of the invented site $seed, $span', (site) => {
  const input = inventedDay(site.seed, site.span);
  const plan = planDay(input);
  const day = dayFacts(input, plan);

  it('breaks no limit', () => {
    expect(limitBreaches(day)).toEqual([]);
  });

  it('says nothing that is not so', () => {
    expect(falseClaims(day).wrong).toEqual([]);
  });

  it('tells the figures that follow from its runs', () => {
    expect(plan.beds.map(({ bedId }) => bedId)).toEqual(day.beds.map(({ bed }) => bed.id));
    for (const [index, facts] of day.beds.entries()) {
      const told = plan.beds[index];
      if (told !== undefined) expectFigures(told, facts, day);
    }
  });

  it('names a shortage wherever a bed is dry by day, and how dry it is', () => {
    for (const facts of day.beds) {
      const own = wateringsOf(facts, plan.runs);
      const { startMs, endMs } = day.daylight;
      const dry = drySteps(day, facts, followed(day, facts, own))
        .map((step) => day.gridStartMs + step * STEP_MS)
        .filter((atMs) => atMs >= startMs && atMs < endMs);
      const named = plan.shortages.filter(({ bedId }) => bedId === facts.bed.id);
      for (const atMs of dry) {
        expect(named.some(({ fromMs, toMs }) => atMs >= fromMs && atMs < toMs)).toBe(true);
      }
      const dryMin = sum(named.map(({ minutesBelowDryLimit }) => minutesBelowDryLimit));
      expect(dryMin).toBe(5 * dry.length);
      for (const shortage of named) {
        const spanMin = (shortage.toMs - shortage.fromMs) / 60_000;
        expect(shortage.minutesBelowReserve).toBe(spanMin);
        expect(spanMin).toBeGreaterThanOrEqual(10);
      }
    }
  });
});

describe('a bed that is dry though it has water', () => {
  it.each([
    [902, SOME],
    [908, SOME],
    [903, ONE_OR_TWO],
    [905, ONE_OR_TWO],
  ])('on site %d of %j could not be less dry by one cycle more or one moved', (seed, span) => {
    const input = inventedDay(seed, span);
    const day = dayFacts(input, planDay(input));
    const found = day.beds.map((facts) => bedDryness(day, facts));
    expect(found.filter(({ isLeftOut, avoidable }) => isLeftOut || avoidable !== null)).toEqual([]);
  });
});
