import type { BedPlan, Cycle, DayPlan } from '../../../../calc/schedule/day-plan.ts';
import { planAsItStands } from '../../../../calc/schedule/leeway-change.ts';
import type { Run } from '../../../../calc/schedule/run.ts';
import { whatRan } from '../../../delivery/what-ran.ts';
import { keepOffsOn } from '../../../site/config/keep-offs.ts';
import { personKeepOffStretches } from '../../../site/gate/keep-offs.ts';
import { newestLeewayUse } from '../../../site/store/leeway-uses.ts';
import { confirmationsSince } from '../../../site/store/plans.ts';
import type { RunState as FieldState, RunStateName } from '../../../site/store/run-state.ts';
import { stationRuns, sunTerms } from '../../../words/plan-rows.ts';
import { sayReason, sayTo } from '../../../words/plan-words.ts';
import type { DayLineView, FlowSeries, LineCycle, LineKeepOff, RunState } from './today-view.ts';
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
  const told = new Map(runs.map((one) => [runKey(one.run), confirmedRunState(one, nowMs)]));
  const cycles = confirmations.flatMap(({ confirmationId, stored }, index) => {
    const change = newestLeewayUse(db, confirmationId);
    const plan = change === null ? stored.plan : planAsItStands(stored.plan, change.cycles);
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
  stateOf: (run: Run) => NamedState,
): LineCycle[] {
  return plan.beds.flatMap((bed) =>
    bed.cycles.map((cycle) => lineCycle(context, { plan, bed, cycle, stateOf })),
  );
}

function lineCycle(
  { config, reader }: ViewContext,
  from: { plan: DayPlan; bed: BedPlan; cycle: Cycle; stateOf(run: Run): NamedState },
): LineCycle {
  const { plan, bed, cycle, stateOf } = from;
  const { clock, show } = reader;
  const say = sayTo(reader);
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
  const { state, name } = cycleState(told);
  const stateWords = say(`run_standing.${name}`);
  const longestS = Math.max(0, ...own.map((run) => run.runS));
  const watering = stationRuns(own, reader);
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
    reason: sentence(cycle.reasons.map((reason) => sayReason(reason, reader))),
    sun: sunTerms(cycle.startMs, plan, say),
    line: say('cycle.line', {
      at: clock.timeOf(cycle.startMs),
      bed: bed.name,
      watering,
      net: show.depth(cycle.netMm),
      state: stateWords,
    }),
    runs,
  };
}

function sentence(parts: readonly string[]): string {
  const text = parts.join('; ');
  return text === '' ? '' : `${text[0]?.toUpperCase()}${text.slice(1)}.`;
}

function readKeepOffs(
  { config, reader }: ViewContext,
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
        why: sayTo(reader)('keep_off.stopped', { who: hold.who, why: hold.why }),
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

/** A run's place on the day line, and the message `run_standing.NAME` that says it exactly. */
interface NamedState {
  state: RunState;
  name: RunStateName | 'running' | 'never_confirmed' | 'held';
}

/** The worst first: a cycle is told by the worst of its runs. */
const WORST_FIRST: readonly RunState[] = [
  'rejected',
  'silent',
  'missed',
  'withdrawn',
  'running',
  'sent',
  'planned',
  'accepted',
  'ran',
];

const STATES: Readonly<Record<RunStateName, RunState>> = {
  planned: 'planned',
  sent: 'sent',
  accepted: 'accepted',
  rejected: 'rejected',
  unknown: 'sent',
  ran: 'ran',
  missing: 'silent',
  assumed: 'silent',
  withdrawn: 'withdrawn',
  missed: 'missed',
};

/** How a run of a confirmed plan is told. Pure. */
function confirmedRunState(field: FieldState, nowMs: number): NamedState {
  const { run, state } = field;
  const endMs = run.startMs + run.runS * 1000;
  const isOn = nowMs >= run.startMs && nowMs < endMs;
  if (isOn && (state === 'sent' || state === 'accepted')) {
    return { state: 'running', name: 'running' };
  }
  if (state === 'unknown' && nowMs >= endMs) return { state: 'silent', name: 'unknown' };
  return { state: STATES[state], name: state };
}

/** Runs of a plan that nobody has confirmed: what has begun is past. */
function heldRunState(run: Run, nowMs: number): NamedState {
  return run.startMs < nowMs
    ? { state: 'missed', name: 'never_confirmed' }
    : { state: 'planned', name: 'held' };
}

/** A cycle's state: the worst of its runs, so that nothing unproven is hidden by what is well. */
function cycleState(told: readonly NamedState[]): NamedState {
  for (const state of WORST_FIRST) {
    const found = told.find((one) => one.state === state);
    if (found !== undefined) return found;
  }
  return { state: 'planned', name: 'planned' };
}

/** The pump's flow over a day from the runs that are drawn, as steps. Pure. */
function flowSeries(
  runs: readonly { startMs: number; endMs: number; flowLPerMin: number }[],
  limitLPerMin: number,
): FlowSeries {
  const changes = new Map<number, number>();
  for (const { startMs, endMs, flowLPerMin } of runs) {
    changes.set(startMs, (changes.get(startMs) ?? 0) + flowLPerMin);
    changes.set(endMs, (changes.get(endMs) ?? 0) - flowLPerMin);
  }
  const atMs = [...changes.keys()].sort((a, b) => a - b);
  let flow = 0;
  const flowLPerMin = atMs.map((ms) => {
    flow += changes.get(ms) ?? 0;
    // Sums of many stations drift by the last bits: a pump that stands must read 0.
    return Math.round(flow * 1000) / 1000;
  });
  return { atMs, flowLPerMin, limitLPerMin };
}
