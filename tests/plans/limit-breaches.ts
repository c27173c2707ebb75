import type { Run } from '../../calc/schedule/run.ts';
import { inventedReader } from '../reader.ts';
import { drySteps, followed, isByDay, leftSeries, wateringsOf } from './bed-water.ts';
import { type DayFacts, STEP_MS } from './day-facts.ts';
import { litres, resourcesOf, shortStandstills, supplyRuns } from './supply-in-use.ts';

/** Depths that a plan tells and depths that follow from its runs may differ by rounding alone. */
const SAME_MM = 1e-6;

/** A rule that a plan breaks, and where. */
export interface Breach {
  kind: string;
  at: string;
}

/** Every rule that a plan breaks, second by second from its runs alone. */
export function limitBreaches(day: DayFacts): Breach[] {
  return [
    ...supplyBreaches(day),
    ...bedBreaches(day),
    ...depthBreaches(day),
    ...storeBreaches(day),
  ];
}

function supplyBreaches(day: DayFacts): Breach[] {
  const { limits, input } = day;
  const runs = supplyRuns(day);
  const found: Breach[] = [];
  const fromMs = input.dayStartMs;
  const seconds = (input.nextDayStartMs - fromMs) / 1000;
  for (const resource of resourcesOf(limits)) {
    const drawn = new Float64Array(seconds);
    for (const { station, startMs, endMs } of runs) {
      const draw = resource.drawOf(station);
      for (let at = (startMs - fromMs) / 1000; at < (endMs - fromMs) / 1000; at++) {
        const second = Math.floor(at);
        drawn[second] = (drawn[second] ?? 0) + draw;
      }
    }
    const over = drawn.findIndex((draw) => draw > resource.most + 1e-6);
    if (over !== -1) found.push({ kind: resource.name, at: clock(day, fromMs + over * 1000) });
  }
  const starts = runs
    .map(({ startMs, station }) => ({ startMs, flowLPerMin: station.flowLPerMin }))
    .sort((a, b) => a.startMs - b.startMs);
  for (const [index, { startMs }] of starts.entries()) {
    const next = starts[index + 1];
    if (next !== undefined && next.startMs - startMs < limits.startGapS * 1000) {
      found.push({ kind: 'start_gap', at: clock(day, startMs) });
    }
    if (limits.pumpRiseLPerMin === null) continue;
    const within = starts.filter((one) => one.startMs >= startMs && one.startMs < startMs + 60_000);
    const rise = within.reduce((sum, one) => sum + one.flowLPerMin, 0);
    if (within.length > 1 && rise > limits.pumpRiseLPerMin + 1e-6) {
      found.push({ kind: 'pump_rise', at: clock(day, startMs) });
    }
  }
  if (shortStandstills(day, runs) > 0) found.push({ kind: 'pump_rest', at: '' });
  const waterL = runs.reduce((sum, run) => sum + litres(run), 0);
  const { dayL = 0, seasonL = 0 } = input.ranBefore ?? {};
  if (limits.dayAllowanceL !== null && dayL + waterL > limits.dayAllowanceL + 1e-3) {
    found.push({ kind: 'allowance', at: `${dayL + waterL} L` });
  }
  if (limits.seasonAllowanceL !== null && seasonL + waterL > limits.seasonAllowanceL + 1e-3) {
    found.push({ kind: 'season_allowance', at: `${seasonL + waterL} L` });
  }
  return found;
}

function bedBreaches(day: DayFacts): Breach[] {
  const { limits } = day;
  return day.beds.flatMap((facts) => {
    const found: Breach[] = [];
    const own = wateringsOf(facts, day.plan.runs);
    for (const [index, { startMs, endMs }] of own.entries()) {
      const at = `${facts.bed.id} ${clock(day, startMs)}`;
      const before = own[index - 1];
      const freeMs =
        before === undefined ? facts.freeFromMs : before.endMs + limits.restMin * 60_000;
      if (startMs < freeMs) found.push({ kind: 'rest', at });
      if (startMs < day.firstStartMs || endMs > day.lastEndMs) found.push({ kind: 'hours', at });
      const off = facts.keepOffs.find((one) => startMs < one.endMs && endMs > one.startMs);
      if (off !== undefined) found.push({ kind: off.kind === 'frost' ? 'frost' : 'keep_off', at });
    }
    return found;
  });
}

function depthBreaches(day: DayFacts): Breach[] {
  const { limits, input } = day;
  const stationOf = new Map(input.site.stations.map((one) => [one.id, one]));
  const capOf = new Map(day.beds.map((one) => [one.bed.id, one.capMm]));
  return day.plan.runs.flatMap((run: Run) => {
    const found: Breach[] = [];
    const at = `${run.stationId} ${clock(day, run.startMs)}`;
    const station = stationOf.get(run.stationId);
    if (station === undefined) return [{ kind: 'no_station', at }];
    const wantedS = Math.ceil((run.rotations * station.rotationS) / limits.runStepS - 1e-9);
    if (run.runS !== wantedS * limits.runStepS || !Number.isInteger(run.rotations)) {
      found.push({ kind: 'whole_rotations', at });
    }
    const leastRotations = Math.max(1, Math.ceil(limits.leastRunS / station.rotationS - 1e-9));
    if (run.rotations < leastRotations) found.push({ kind: 'least_run', at });
    const grossMm = (run.runS * station.precipitationRateMmPerH) / 3600;
    if (Math.abs(grossMm - run.grossMm) > SAME_MM) found.push({ kind: 'gross_depth', at });
    const cycle = day.plan.beds
      .find((bed) => bed.bedId === run.bedId)
      ?.cycles.find((one) => one.cycle === run.cycle);
    const driftFraction = day.driftAt(cycle?.startMs ?? run.startMs);
    if (Math.abs(grossMm * (1 - driftFraction) - run.netMm) > SAME_MM) {
      found.push({ kind: 'net_depth', at });
    }
    const capMm = (capOf.get(run.bedId) ?? 0) * station.runTimeMultiplierFraction;
    if (run.rotations > leastRotations && run.netMm > capMm + 1e-6) {
      found.push({ kind: 'dose_cap', at });
    }
    return found;
  });
}

/** The store that a plan tells against the one that follows from its runs. */
function storeBreaches(day: DayFacts): Breach[] {
  return day.beds.flatMap((facts) => {
    const found: Breach[] = [];
    const at = facts.bed.id;
    const told = day.plan.beds.find((bed) => bed.bedId === at);
    if (told === undefined) return [{ kind: 'no_bed', at }];
    const own = wateringsOf(facts, day.plan.runs);
    const bedDay = followed(day, facts, own);
    const left = leftSeries(day, facts, own);
    const off = told.expectedStore.storeMm.findIndex(
      (mm, step) => Math.abs(mm - (left[step] ?? 0)) > 1e-3,
    );
    if (off !== -1) {
      found.push({
        kind: 'store_told',
        at: `${at} ${clock(day, day.gridStartMs + off * STEP_MS)}`,
      });
    }
    const byDay = drySteps(day, facts, bedDay).filter((step) => isByDay(day, step));
    const dryMin = (byDay.length * STEP_MS) / 60_000;
    if (dryMin !== told.minutesBelowDryLimit) found.push({ kind: 'dry_minutes_told', at });
    return found;
  });
}

/** An instant on the site's clock. */
export function clock(_: DayFacts, atMs: number): string {
  return inventedReader().clock.timeOf(atMs);
}
