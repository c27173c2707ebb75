import { display } from '../../../adapters/display-units.ts';
import type { BedPlan, Cycle, DayPlan } from '../../../calc/schedule/day-plan.ts';
import type { Run } from '../../../calc/schedule/run.ts';
import { keepOffsOn } from '../../config/keep-offs.ts';
import { whatRan } from '../../field/run-states.ts';
import { personKeepOffStretches } from '../../gate/standing-keep-offs.ts';
import { confirmationsSince } from '../../store/confirmations.ts';
import { sunTerms } from '../../words/plan-rows.ts';
import { sayReason } from '../../words/plan-words.ts';
import { readerOf } from '../../words/reader.ts';
import { stationRuns } from '../../words/station-runs.ts';
import type { DayLineView, LineCycle, LineKeepOff } from './day-line-view.ts';
import { flowSeries } from './flow-series.ts';
import { cycleState, heldRunState, type ToldState, toldState } from './run-states.ts';
import type { NewestPlan, ViewContext } from './view-context.ts';

/** The day line: what ran or should have run so far, what is planned, and what keeps water off. */
export function readLine(context: ViewContext, newest: NewestPlan): DayLineView {
  const { config, nowMs, now } = context;
  const { stored, standing } = newest;
  const { plan } = stored;
  const startMs = config.clock.startOf(config.clock.siteDayOf(plan.startMs));
  const confirmed = confirmedCycles(context, startMs);
  const isHeld = standing.kind === 'held';
  const keyOf = (cycle: LineCycle) => `${cycle.bedId} ${cycle.startMs}`;
  const inForce = new Map(confirmed.map((cycle) => [keyOf(cycle), cycle]));
  const own = isHeld ? cyclesOf(context, plan, (run) => heldRunState(run, nowMs)) : [];
  // A cycle that stands in the plan in force too runs either way: it is told as it stands there.
  const proposed = own.map((cycle) => inForce.get(keyOf(cycle)) ?? cycle);
  const ownKeys = new Set(own.map(keyOf));
  const history = isHeld ? confirmed.filter((cycle) => cycle.startMs < plan.startMs) : confirmed;
  const cycles = [...history.filter((cycle) => !ownKeys.has(keyOf(cycle))), ...proposed].sort(
    (a, b) => a.startMs - b.startMs || (a.bedId < b.bedId ? -1 : 1),
  );
  return {
    startMs,
    endMs: plan.endMs,
    nowMs,
    sunriseMs: plan.sunriseMs,
    sunsetMs: plan.sunsetMs,
    firstStartMs: now?.firstStartMs ?? null,
    lastEndMs: now?.lastEndMs ?? null,
    revision: plan.revision,
    cycles,
    inForceCycles: isHeld
      ? confirmed.filter(
          (cycle) =>
            cycle.startMs >= plan.startMs &&
            !ownKeys.has(keyOf(cycle)) &&
            cycle.state !== 'withdrawn',
        )
      : [],
    keepOffs: readKeepOffs(context, newest, { startMs, endMs: plan.endMs }),
    flow: flowSeries(
      cycles
        .filter(({ state }) => !['missed', 'withdrawn', 'rejected'].includes(state))
        .flatMap((cycle) => cycle.runs),
      config.site.limits.pumpFlowLPerMin,
    ),
  };
}

/** Cycles of the plans that were in force one after the other, each with how far it has come. */
function confirmedCycles(context: ViewContext, dayStartMs: number): LineCycle[] {
  const { db, config, nowMs } = context;
  const confirmations = confirmationsSince(db, dayStartMs);
  const { runs } = whatRan(db, { fromMs: dayStartMs, nowMs, rule: config.field });
  const told = new Map(runs.map((one) => [runKey(one.run), toldState(one, nowMs)]));
  const cycles = confirmations.flatMap(({ stored: { plan } }, index) => {
    if (plan.endMs <= dayStartMs) return [];
    // What a later plan has taken the place of is none of the day any more.
    const replacedMs = confirmations[index + 1]?.atMs ?? Number.POSITIVE_INFINITY;
    return cyclesOf(
      context,
      plan,
      (run) => told.get(runKey(run)) ?? heldRunState(run, nowMs),
    ).filter((cycle) => cycle.startMs < replacedMs);
  });
  // A cycle that a later plan has kept stands in both.
  return [...new Map(cycles.map((cycle) => [`${cycle.bedId} ${cycle.startMs}`, cycle])).values()];
}

function runKey({ stationId, startMs }: Pick<Run, 'stationId' | 'startMs'>): string {
  return `${stationId} ${startMs}`;
}

function cyclesOf(
  context: ViewContext,
  plan: DayPlan,
  stateOf: (run: Run) => ToldState,
): LineCycle[] {
  return plan.beds.flatMap((bed) =>
    bed.cycles.map((cycle) => lineCycle(context, { plan, bed, cycle, stateOf })),
  );
}

function lineCycle(
  { config }: ViewContext,
  from: { plan: DayPlan; bed: BedPlan; cycle: Cycle; stateOf(run: Run): ToldState },
): LineCycle {
  const { plan, bed, cycle, stateOf } = from;
  const { clock } = config;
  const show = display(config.units);
  const own = plan.runs.filter((run) => run.bedId === bed.bedId && run.cycle === cycle.cycle);
  const flowOf = new Map(config.site.stations.map((one) => [one.id, one.flowLPerMin]));
  const told = own.map(stateOf);
  const runs = own.map((run, index) => ({
    stationId: run.stationId,
    startMs: run.startMs,
    endMs: run.startMs + run.runS * 1000,
    runS: run.runS,
    flowLPerMin: flowOf.get(run.stationId) ?? 0,
    state: told[index]?.state ?? 'planned',
  }));
  const { state, words: stateWords } = cycleState(told);
  const longestS = Math.max(0, ...own.map((run) => run.runS));
  const watering = stationRuns(own, show.duration);
  return {
    bedId: bed.bedId,
    name: bed.name,
    cycle: cycle.cycle,
    startMs: cycle.startMs,
    endMs: cycle.endMs,
    runMin: longestS / 60,
    watering,
    grossMm: cycle.grossMm,
    netMm: cycle.netMm,
    drainedMm: cycle.drainedMm,
    state,
    stateWords,
    reason: sentence(cycle.reasons.map((reason) => sayReason(reason, readerOf(config)))),
    sun: sunTerms(cycle.startMs, plan),
    line: `${clock.timeOf(cycle.startMs)} ${bed.name}: ${watering}, ${show.depth(cycle.netMm)}; ${stateWords}`,
    runs,
  };
}

function sentence(parts: readonly string[]): string {
  const text = parts.join('; ');
  return text === '' ? '' : `${text[0]?.toUpperCase()}${text.slice(1)}.`;
}

function readKeepOffs(
  { config }: ViewContext,
  { stored, holds, keepOffs }: NewestPlan,
  day: { startMs: number; endMs: number },
): LineKeepOff[] {
  const { clock, site } = config;
  const bedIds = site.beds.map((bed) => bed.id);
  const held = holds.flatMap((hold) =>
    bedIds
      .filter((bedId) => hold.beds === 'all' || hold.beds.includes(bedId))
      .map((bedId) => ({
        bedId,
        startMs: hold.atMs,
        endMs: hold.untilMs ?? day.endMs,
        why: `hold by ${hold.who} (${hold.why})`,
      })),
  );
  return [
    ...keepOffsOn(clock.siteDayOf(stored.plan.startMs), config, clock),
    ...personKeepOffStretches(keepOffs, { bedIds, fromMs: day.startMs, endMs: day.endMs }),
    ...held,
  ]
    .map(({ bedId, startMs, endMs, why }) => ({
      bedId,
      startMs: Math.max(startMs, day.startMs),
      endMs: Math.min(endMs, day.endMs),
      why,
    }))
    .filter((one) => one.endMs > one.startMs)
    .sort((a, b) => a.startMs - b.startMs || (a.bedId < b.bedId ? -1 : 1));
}
