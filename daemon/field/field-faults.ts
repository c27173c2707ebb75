import type { FieldFaultFacts } from '../../calc/schedule/plan-warning.ts';
import type { Station } from '../../calc/schedule/site.ts';
import type { Reconciled } from './reconcile.ts';
import type { FieldRule } from './run-state.ts';

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
