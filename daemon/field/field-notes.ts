import type { SiteClock } from '../../adapters/site-clock.ts';
import type { PlanWarning } from '../../calc/schedule/plan-warning.ts';
import { grouped } from '../grouped.ts';
import type { FieldFault } from './field-faults.ts';
import type { Reconciled } from './reconcile.ts';
import type { RunState, RunStateName } from './run-state.ts';

/** Of one bed's faults no more than this many are told one by one. */
const MOST_TOLD = 3;

/** What a plan has to say of the runs before it: what did not run, and what is only assumed. Pure. */
export function fieldNotes(
  { runs }: Reconciled,
  given: {
    faults: readonly FieldFault[];
    clock: Pick<SiteClock, 'timeOf'>;
    nowMs: number;
    nameOf(bedId: string): string;
  },
): PlanWarning[] {
  const { faults, clock, nowMs, nameOf } = given;
  const told = (fault: FieldFault) =>
    `${clock.timeOf(fault.startMs)} station ${fault.stationId} ${fault.what}`;
  const ofFaults = [...grouped(faults, ({ bedId }) => bedId)].map(([bedId, own]): PlanWarning => {
    const more = own.length <= MOST_TOLD ? '' : `; and ${own.length - MOST_TOLD} more`;
    const where = bedId === null ? 'Not of this site' : nameOf(bedId);
    const what = own.slice(0, MOST_TOLD).map(told).join('; ');
    return { code: 'field_fault', bedId, text: `${where}: ${what}${more}. See \`dewbeat ran\`.` };
  });
  const begun = runs.filter(({ run }) => run.startMs < nowMs);
  const ofState = (state: RunStateName, say: (times: string) => string): PlanWarning[] =>
    [
      ...grouped(
        begun.filter((one) => one.state === state),
        ({ run }) => run.bedId,
      ),
    ].map(([bedId, own]) => ({
      code: 'field_fault',
      bedId,
      text: `${nameOf(bedId)}: ${say(timesOf(own, clock))}`,
    }));
  const assumed = begun.filter((one) => one.state === 'assumed');
  return [
    ...ofFaults,
    ...ofState('rejected', (at) => `refused, so not run: ${at}.`),
    ...ofState(
      'unknown',
      (at) =>
        `nobody can say whether it ran: ${at}. Counted as run, so that nothing runs twice; look at the turf.`,
    ),
    ...(assumed.length === 0
      ? []
      : [
          {
            code: 'runs_assumed' as const,
            bedId: null,
            text: `No receiver reports what ran: ${assumed.length === 1 ? '1 run is' : `${assumed.length} runs are`} assumed to have run as planned, the last at ${clock.timeOf(assumed.at(-1)?.run.startMs ?? nowMs)}.`,
          },
        ]),
  ];
}

function timesOf(states: readonly RunState[], clock: Pick<SiteClock, 'timeOf'>): string {
  return [...new Set(states.map(({ run }) => clock.timeOf(run.startMs)))].join(', ');
}
