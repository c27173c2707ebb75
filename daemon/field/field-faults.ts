import type { Station } from '../../calc/schedule/site.ts';
import type { Reconciled } from './reconcile.ts';
import type { FieldRule } from './run-state.ts';

/** What can be wrong with what ran: a closed list. */
export type FieldFaultKind = 'missing' | 'no_flow' | 'flow_off' | 'ran_on' | 'unasked';

/** Something that a receiver's reports, or their absence, show to be wrong. */
export interface FieldFault {
  /** The same for the same fault, however often it is looked for. */
  key: string;
  kind: FieldFaultKind;
  stationId: string;
  /** Null when the station is not the site's. */
  bedId: string | null;
  startMs: number;
  /** When it was over, as far as it is told. */
  endMs: number;
  answer: 'notice' | 'hold';
  /** Without place and time: "ran 12 min in place of 4 min". */
  what: string;
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
    show: { duration(durationS: number): string; flow(flowLPerMin: number): string };
  },
): FieldFault[] {
  const { stations, rule, show } = given;
  const stationOf = (id: string) => stations.find((one) => one.id === id);
  const fault = (
    kind: FieldFaultKind,
    at: { stationId: string; bedId: string | null; startMs: number; runS: number },
    answer: 'notice' | 'hold',
    what: string,
  ): FieldFault => ({
    key: `${kind} ${at.stationId} ${at.startMs}`,
    kind,
    stationId: at.stationId,
    bedId: at.bedId,
    startMs: at.startMs,
    endMs: at.startMs + at.runS * 1000,
    answer,
    what,
  });

  const ofRuns = runs.flatMap(({ run, state, withoutReport, actual }): FieldFault[] => {
    if (state === 'missing') {
      const what = `was to run ${show.duration(run.runS)} and nothing reports that it did; counted as not run`;
      return [fault('missing', run, rule.onMissing, what)];
    }
    if (actual === null) return [];
    const at = { ...run, runS: actual.runS };
    const ran = show.duration(actual.runS);
    const found: FieldFault[] = [];
    if (withoutReport === 'withdrawn' || withoutReport === 'missed') {
      const why = withoutReport === 'withdrawn' ? 'it was on hold' : 'its time had passed';
      found.push(fault('unasked', at, rule.onUnasked, `ran ${ran} though ${why}`));
    }
    if (actual.runS > run.runS + rule.runOverS) {
      const what = `ran ${ran} in place of ${show.duration(run.runS)}`;
      found.push(fault('ran_on', at, rule.onStuck, what));
    }
    const nominal = stationOf(run.stationId)?.flowLPerMin ?? 0;
    if (actual.flowLPerMin === null || nominal <= 0) return found;
    const part = actual.flowLPerMin / nominal;
    const flow = `with ${show.flow(actual.flowLPerMin)} in place of ${show.flow(nominal)}`;
    if (part < NO_FLOW_FRACTION) {
      found.push(fault('no_flow', at, rule.onMissing, `ran ${ran} ${flow}`));
    } else if (Math.abs(part - 1) > rule.flowOffFraction) {
      found.push(fault('flow_off', at, 'notice', `ran ${ran} ${flow}`));
    }
    return found;
  });
  const { singly, rest } = firstOfEach(strays, (id) => stationOf(id) !== undefined);
  const ofStrays = singly.map((stray) => {
    const at = { ...stray, bedId: stationOf(stray.stationId)?.bedId ?? null };
    const what = `ran ${show.duration(stray.runS)} and nobody had asked it to`;
    return fault('unasked', at, rule.onUnasked, what);
  });
  return [...ofRuns, ...ofStrays, ...togetherOf(rest)].toSorted((a, b) => a.startMs - b.startMs);
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
  const { stationId, startMs, runS } = first;
  return [
    {
      // By the hour, so that one more of them is no other fault.
      key: `unasked more ${Math.floor(startMs / HOUR_MS)}`,
      kind: 'unasked',
      stationId,
      bedId: null,
      startMs,
      endMs: startMs + runS * 1000,
      answer: 'notice',
      what: `ran and nobody had asked it to; with it ${rest.length} such runs more are reported than are told one by one; look at what reports them`,
    },
  ];
}
