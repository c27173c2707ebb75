import type { FieldFaultFacts, PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { grouped } from '../grouped.ts';
import type { FieldFault } from './field-faults.ts';
import type { Reconciled } from './reconcile.ts';

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
