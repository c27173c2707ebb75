import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { FieldFaultFacts } from '../../calc/schedule/plan-warning.ts';
import type { Say } from './language.ts';

/** What is wrong with a run, without place and time: "ran 12 min in place of 4 min". */
export function sayFieldFault(
  fault: FieldFaultFacts,
  say: Say,
  show: Pick<UnitDisplay, 'duration' | 'flow'>,
): string {
  const { kind, ranS, plannedS, flowLPerMin, nominalFlowLPerMin, notToRun, more } = fault;
  const duration = (seconds: number | null) => (seconds === null ? '-' : show.duration(seconds));
  const flow = (lPerMin: number | null) => (lPerMin === null ? '-' : show.flow(lPerMin));
  const ran = duration(ranS);
  const planned = duration(plannedS);
  switch (kind) {
    case 'missing':
      return say('field_fault.missing', { planned });
    case 'ran_on':
      return say('field_fault.ran_on', { ran, planned });
    case 'no_flow':
    case 'flow_off':
      return say('field_fault.flow', {
        ran,
        flow: flow(flowLPerMin),
        nominal: flow(nominalFlowLPerMin),
      });
    case 'unasked':
      return more > 0
        ? say('field_fault.unasked.more', { more })
        : say(`field_fault.unasked.${notToRun ?? 'nobody'}`, { ran });
  }
}
