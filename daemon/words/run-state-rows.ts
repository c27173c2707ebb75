import type { UnitDisplay } from '../../adapters/display-units.ts';
import type { SiteClock } from '../../adapters/site-clock.ts';
import type { RunState } from '../field/run-state.ts';

export const RUN_STATE_HEADING = [
  'start',
  'bed',
  'station',
  'planned',
  'state',
  'ran',
  'flow',
  'plan',
  'on its way',
] as const;

/** One row a run: what was asked, how far it came, and what came back. Pure. */
export function runStateRows(
  states: readonly RunState[],
  given: {
    clock: SiteClock;
    show: Pick<UnitDisplay, 'duration' | 'flow'>;
    nameOf(bedId: string): string;
  },
): string[][] {
  const { clock, show, nameOf } = given;
  return states.map(({ run, state, actual, revision, outputs }) => [
    clock.timeOf(run.startMs),
    nameOf(run.bedId),
    run.stationId,
    show.duration(run.runS),
    state,
    actual === null ? '' : show.duration(actual.runS),
    actual?.flowLPerMin == null ? '' : show.flow(actual.flowLPerMin),
    `r${revision}`,
    outputs.map((one) => `${one.output} ${one.state}`).join(', '),
  ]);
}
