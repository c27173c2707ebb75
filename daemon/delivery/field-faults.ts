import type { FieldFaultFacts, PlanWarning } from '../../calc/schedule/plan-warning.ts';
import type { Station } from '../../calc/schedule/site.ts';
import { grouped } from '../grouped.ts';
import type { FieldRule } from '../site/store/run-state.ts';
import type { Reconciled } from './reconcile.ts';

/** Something that a receiver's reports, or their absence, show to be wrong. */
export interface FieldFault extends FieldFaultFacts {
  /** The same for the same fault, however often it is looked for. */
  key: string;
  /** Null when the station is not the site's. */
  bedId: string | null;
  /** When it was over, as far as it is told. */
  endMs: number;
  answer: 'notice' | 'hold';
}

/** Runs that nobody asked for, told one by one; a receiver gone mad may report thousands. */
const MOST_OF_STATION = 10;
const HOUR_MS = 3_600_000;

/** Below this part of a station's flow there is none worth speaking of. */
const NO_FLOW_FRACTION = 0.1;

/** Everything that is wrong with what ran, in order of time. Pure. */
export function fieldFaults(
  { runs, strays }: Reconciled,
  given: {
    stations: readonly Pick<Station, 'id' | 'bedId' | 'flowLPerMin'>[];
    rule: FieldRule;
  },
): FieldFault[] {
  const { stations, rule } = given;
  const stationOf = (id: string) => stations.find((one) => one.id === id);
  const ofRuns = runs.flatMap(({ run, state, withoutReport, actual }): FieldFault[] => {
    const { bedId, stationId, startMs, runS: plannedS } = run;
    const at = { bedId, stationId, startMs, plannedS };
    if (state === 'missing') {
      return [fault('missing', rule.onMissing, { ...at, lastedS: plannedS })];
    }
    if (actual === null) return [];
    const { runS: ranS, flowLPerMin } = actual;
    const ran = { ...at, ranS, lastedS: ranS };
    const found: FieldFault[] = [];
    if (withoutReport === 'withdrawn' || withoutReport === 'missed') {
      found.push(fault('unasked', rule.onUnasked, { ...ran, notToRun: withoutReport }));
    }
    if (ranS > plannedS + rule.runOverS) found.push(fault('ran_on', rule.onStuck, ran));
    const nominalFlowLPerMin = stationOf(stationId)?.flowLPerMin ?? 0;
    if (flowLPerMin === null || nominalFlowLPerMin <= 0) return found;
    const part = flowLPerMin / nominalFlowLPerMin;
    const flow = { ...ran, flowLPerMin, nominalFlowLPerMin };
    if (part < NO_FLOW_FRACTION) found.push(fault('no_flow', rule.onMissing, flow));
    else if (Math.abs(part - 1) > rule.flowOffFraction) {
      found.push(fault('flow_off', 'notice', flow));
    }
    return found;
  });
  const { singly, rest } = firstOfEach(strays, (id) => stationOf(id) !== undefined);
  const ofStrays = singly.map(({ stationId, startMs, runS: ranS }) => {
    const bedId = stationOf(stationId)?.bedId ?? null;
    return fault('unasked', rule.onUnasked, { stationId, bedId, startMs, ranS, lastedS: ranS });
  });
  return [...ofRuns, ...ofStrays, ...togetherOf(rest)].toSorted((a, b) => a.startMs - b.startMs);
}

/** A fault with what is known of it; the rest is not. */
function fault(
  kind: FieldFault['kind'],
  answer: FieldFault['answer'],
  facts: Pick<FieldFault, 'stationId' | 'bedId' | 'startMs'> &
    Partial<FieldFaultFacts> & { lastedS: number },
): FieldFault {
  const { lastedS, ...known } = facts;
  return {
    key: `${kind} ${facts.stationId} ${facts.startMs}`,
    kind,
    answer,
    endMs: facts.startMs + lastedS * 1000,
    ranS: null,
    plannedS: null,
    flowLPerMin: null,
    nominalFlowLPerMin: null,
    notToRun: null,
    more: 0,
    ...known,
  };
}

/** The first stray runs of each station, those of foreign stations counted together, and the rest. */
function firstOfEach(
  strays: Reconciled['strays'],
  isOwn: (stationId: string) => boolean,
): { singly: Reconciled['strays']; rest: Reconciled['strays'] } {
  const counts = new Map<string | null, number>();
  const singly: Reconciled['strays'] = [];
  const rest: Reconciled['strays'] = [];
  for (const stray of strays) {
    const whose = isOwn(stray.stationId) ? stray.stationId : null;
    const count = counts.get(whose) ?? 0;
    counts.set(whose, count + 1);
    (count < MOST_OF_STATION ? singly : rest).push(stray);
  }
  return { singly, rest };
}

/** One fault for the rest; its beds are among those that were told one by one. */
function togetherOf(rest: Reconciled['strays']): FieldFault[] {
  const [first] = rest;
  if (first === undefined) return [];
  const { stationId, startMs, runS: ranS } = first;
  const facts = { stationId, bedId: null, startMs, ranS, lastedS: ranS, more: rest.length };
  // By the hour, so that one more of them is no other fault.
  const key = `unasked more ${Math.floor(startMs / HOUR_MS)}`;
  return [{ ...fault('unasked', 'notice', facts), key }];
}

/** What the daemon does about faults that it sees for the first time. */
interface FaultSteps {
  /** To be told, each once. */
  tell: FieldFault[];
  /** Beds to be put on hold, for a fault and so many more; null: none. */
  hold: { beds: string[]; first: FieldFault; more: number } | null;
}

/** A fault that came to light later than this is told, and holds nothing any more. */
const HOLD_WITHIN_MS = 2 * 3_600_000;

/** Which faults are new, and which beds they stop. Stopping needs nobody; starting does. Pure. */
export function faultSteps(
  faults: readonly FieldFault[],
  given: {
    isTold(key: string): boolean;
    isHeld(bedId: string): boolean;
    nowMs: number;
  },
): FaultSteps {
  const tell = faults.filter(({ key }) => !given.isTold(key));
  const stopping = tell.filter(
    ({ answer, bedId, endMs }) =>
      answer === 'hold' &&
      bedId !== null &&
      !given.isHeld(bedId) &&
      given.nowMs - endMs <= HOLD_WITHIN_MS,
  );
  const beds = [...new Set(stopping.flatMap(({ bedId }) => bedId ?? []))];
  const [first] = stopping;
  if (first === undefined) return { tell, hold: null };
  return { tell, hold: { beds, first, more: stopping.length - 1 } };
}

/** Of one bed's faults no more than this many are told one by one. */
const MOST_TOLD = 3;

/** What a plan has to say of the runs before it: what did not run, and what is only assumed. Pure. */
export function fieldNotes(
  { runs }: Reconciled,
  given: { faults: readonly FieldFault[]; nowMs: number },
): PlanWarning[] {
  const { faults, nowMs } = given;
  const ofFaults = [...grouped(faults, ({ bedId }) => bedId)].map(([bedId, own]): PlanWarning => {
    const told = own.slice(0, MOST_TOLD).map(factsOf);
    const more = Math.max(0, own.length - MOST_TOLD);
    return { code: 'field_fault', bedId, faults: told, more };
  });
  const begun = runs.filter(({ run }) => run.startMs < nowMs);
  const ofState = (state: 'rejected' | 'unknown'): PlanWarning[] => {
    const own = begun.filter((one) => one.state === state).map(({ run }) => run);
    return [...grouped(own, ({ bedId }) => bedId)].map(([bedId, ofBed]): PlanWarning => {
      const starts = ofBed.map(({ startMs }) => ({ startMs }));
      return { code: 'field_fault', bedId, state, starts };
    });
  };
  const assumed = begun.filter((one) => one.state === 'assumed');
  const last = assumed.at(-1);
  return [
    ...ofFaults,
    ...ofState('rejected'),
    ...ofState('unknown'),
    ...(last === undefined
      ? []
      : [
          {
            code: 'runs_assumed' as const,
            bedId: null,
            runs: assumed.length,
            lastStartMs: last.run.startMs,
          },
        ]),
  ];
}

/** What there is to tell of a fault; what follows from it is no part of it. */
function factsOf({ key, bedId, endMs, answer, ...facts }: FieldFault): FieldFaultFacts {
  return facts;
}
