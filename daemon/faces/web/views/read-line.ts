import { display } from '../../../../adapters/display-units.ts';
import type { BedPlan, Cycle, DayPlan } from '../../../../calc/schedule/day-plan.ts';
import type { Run } from '../../../../calc/schedule/run.ts';
import { whatRan } from '../../../delivery/what-ran.ts';
import { keepOffsOn } from '../../../site/config/keep-offs.ts';
import { personKeepOffStretches } from '../../../site/gate/keep-offs.ts';
import { confirmationsSince } from '../../../site/store/plans.ts';
import type { RunState as FieldState, RunStateName } from '../../../site/store/run-state.ts';
import { stationRuns, sunTerms } from '../../../words/plan-rows.ts';
import { readerOf, sayReason } from '../../../words/plan-words.ts';
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
  stateOf: (run: Run) => WordedState,
): LineCycle[] {
  return plan.beds.flatMap((bed) =>
    bed.cycles.map((cycle) => lineCycle(context, { plan, bed, cycle, stateOf })),
  );
}

function lineCycle(
  { config }: ViewContext,
  from: { plan: DayPlan; bed: BedPlan; cycle: Cycle; stateOf(run: Run): WordedState },
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

/** A run's place on the day line, and the same in exact words. */
interface WordedState {
  state: RunState;
  words: string;
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

const WORDED_STATES: Readonly<Record<RunStateName, WordedState>> = {
  planned: { state: 'planned', words: 'confirmed, not sent yet' },
  sent: { state: 'sent', words: 'sent, no answer yet' },
  accepted: { state: 'accepted', words: 'accepted by the receiver' },
  rejected: { state: 'rejected', words: 'rejected, so not run' },
  unknown: { state: 'sent', words: 'sent, and nobody can say whether it got there' },
  ran: { state: 'ran', words: 'ran, as the receiver reports' },
  missing: { state: 'silent', words: 'its time is past and the receiver has not reported it' },
  assumed: { state: 'silent', words: 'assumed to have run: nothing reports what ran' },
  withdrawn: { state: 'withdrawn', words: 'withdrawn by a hold' },
  missed: { state: 'missed', words: 'missed, not made up for' },
};

/** How a run of a confirmed plan is told. Pure. */
function confirmedRunState(field: FieldState, nowMs: number): WordedState {
  const { run, state } = field;
  const endMs = run.startMs + run.runS * 1000;
  const isOn = nowMs >= run.startMs && nowMs < endMs;
  if (isOn && (state === 'sent' || state === 'accepted')) {
    return { state: 'running', words: 'should run now' };
  }
  if (state === 'unknown' && nowMs >= endMs) return { ...WORDED_STATES.unknown, state: 'silent' };
  return WORDED_STATES[state];
}

/** Runs of a plan that nobody has confirmed: what has begun is past. */
function heldRunState(run: Run, nowMs: number): WordedState {
  return run.startMs < nowMs
    ? { state: 'missed', words: 'missed: its time passed before anyone confirmed it' }
    : { state: 'planned', words: 'planned, held until a person confirms it' };
}

/** A cycle's state: the worst of its runs, so that nothing unproven is hidden by what is well. */
function cycleState(told: readonly WordedState[]): WordedState {
  for (const state of WORST_FIRST) {
    const found = told.find((one) => one.state === state);
    if (found !== undefined) return found;
  }
  return WORDED_STATES.planned;
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
