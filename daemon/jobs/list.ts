import type { DeliveryContext } from '../delivery/deliver-owed.ts';
import { deliveryMemory } from '../delivery/delivery-memory.ts';
import { placesOf } from '../delivery/left-places.ts';
import { type ReadBackMemory, readBackMemory } from '../delivery/read-back.ts';
import { absenceWatchJob } from './absence-watch.ts';
import { deliveriesJob } from './deliveries.ts';
import { fieldWatchJob } from './field-watch.ts';
import { holdWatchJob } from './hold-watch.ts';
import type { Job, JobParts } from './job.ts';
import { leftPlacesJob, type OpenLeftPlace } from './left-places.ts';
import { morningJob } from './morning.ts';
import { newsJob } from './news.ts';
import { planWatchJob } from './plan-watch.ts';
import { readBackJob } from './read-back.ts';
import { revisionsJob } from './revisions.ts';

/** What jobs keep from round to round, and the status shows. */
export interface JobMemory {
  readBack: ReadBackMemory;
  left: OpenLeftPlace[];
}

/**
 * Everything that a running daemon does by itself, in the order of a nudge: what is owed goes out
 * before the work of looking ahead begins.
 */
export function jobsOf(
  parts: JobParts,
  { readBack, left }: JobMemory = { readBack: readBackMemory(), left: [] },
): Job[] {
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
    leftPlacesJob(parts, left),
    morningJob(parts),
    fieldWatchJob(parts),
    planWatchJob(parts),
    readBackJob(parts, { delivery, memory: readBack }),
    deliveriesJob(parts, delivery),
    newsJob(parts),
    holdWatchJob(parts),
    absenceWatchJob(parts, parts.steadyMs),
    revisionsJob(parts),
  ];
}
