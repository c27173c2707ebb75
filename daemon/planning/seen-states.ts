import { STAGES } from '../../calc/growth/stages.ts';
import type { SeenStore } from '../../calc/looks/corrected-state.ts';
import { probeTrust } from '../../calc/looks/probe-part.ts';
import type { StoredLook } from '../store/looks.ts';
import { type LearnedBed, surfaceRules } from './learned-beds.ts';

/** A look that sets a bed's store right at its moment. */
export interface SeenState {
  bedId: string;
  seenMs: number;
  seen: SeenStore;
}

/**
 * What looks say of the stores, in the order in which they were seen. A dry surface always counts,
 * also where it was set aside and teaches little. Pure.
 */
export function seenStates(
  looks: readonly StoredLook[],
  learned: ReadonlyMap<string, LearnedBed>,
): SeenState[] {
  return looks
    .filter((look) => look.undoneMs === null)
    .toSorted((a, b) => a.seenMs - b.seenMs)
    .flatMap((look) => {
      const { managedDepthMm, beforeEmergence } = STAGES[look.stage];
      const isSetAside = learned.get(look.bedId)?.stepOf.get(look.lookId)?.isSetAside === true;
      const read = look.expected?.probeLeftFraction ?? null;
      const seen: SeenStore = {
        surface: surfaceRules(managedDepthMm) ? look.surface : null,
        probe:
          read === null || (isSetAside && look.surface === null)
            ? null
            : {
                leftFraction: read,
                weightFraction: probeTrust(beforeEmergence).weightFraction,
              },
      };
      return seen.surface === null && seen.probe === null
        ? []
        : [{ bedId: look.bedId, seenMs: look.seenMs, seen }];
    });
}
