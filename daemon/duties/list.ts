import type { DeliveryContext } from '../delivery/deliver-owed.ts';
import { deliveryMemory } from '../delivery/delivery-memory.ts';
import { placesOf } from '../delivery/left-places.ts';
import { type ReadBackMemory, readBackMemory } from '../delivery/read-back.ts';
import { absenceWatchDuty } from './absence-watch.ts';
import { deliveriesDuty } from './deliveries.ts';
import type { Duty, DutyParts } from './duty.ts';
import { fieldWatchDuty } from './field-watch.ts';
import { holdWatchDuty } from './hold-watch.ts';
import { leftPlacesDuty, type OpenLeftPlace } from './left-places.ts';
import { morningDuty } from './morning.ts';
import { newsDuty } from './news.ts';
import { planWatchDuty } from './plan-watch.ts';
import { readBackDuty } from './read-back.ts';
import { revisionsDuty } from './revisions.ts';

/** What duties keep from round to round, and the status shows. */
export interface DutyMemory {
  readBack: ReadBackMemory;
  left: OpenLeftPlace[];
}

/**
 * Everything that a running daemon does by itself, in the order of a nudge: what is owed goes out
 * before the work of looking ahead begins.
 */
export function dutiesOf(
  parts: DutyParts,
  { readBack, left }: DutyMemory = { readBack: readBackMemory(), left: [] },
): Duty[] {
  const { config, db, outputs, now, unwrittenHolds = [] } = parts;
  const delivery: DeliveryContext = {
    db,
    siteId: config.site.id,
    clock: config.clock,
    outputs,
    places: placesOf(config),
    now,
    memory: deliveryMemory(),
    looksFirst: true,
    unwrittenHolds,
  };
  return [
    leftPlacesDuty(parts, left),
    morningDuty(parts),
    fieldWatchDuty(parts),
    planWatchDuty(parts),
    readBackDuty(parts, { delivery, memory: readBack }),
    deliveriesDuty(parts, delivery),
    newsDuty(parts),
    holdWatchDuty(parts),
    absenceWatchDuty(parts, parts.steadyMs),
    revisionsDuty(parts),
  ];
}
