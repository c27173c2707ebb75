import type { DeliveryContext } from '../../delivery/deliver-outbox.ts';
import { deliveryMemory } from '../../delivery/delivery-memory.ts';
import { placesOf } from '../../delivery/earlier-configs.ts';
import { type ReadBackMemory, readBackMemory } from '../../delivery/read-back.ts';
import { alertReader, sayTo } from '../../words/plan-words.ts';
import { absenceWatchJob } from './absence-watch.ts';
import { followDayJob } from './follow-day-job.ts';
import { forecastRecordJob } from './forecast-record-job.ts';
import { fieldWatchJob, holdWatchJob, planWatchJob } from './hold-watches.ts';
import type { Job, JobParts } from './job.ts';
import {
  alertsJob,
  deliveriesJob,
  leftPlacesJob,
  type OpenLeftPlace,
  readBackJob,
} from './output-jobs.ts';
import { morningJob, revisionsJob } from './planning-jobs.ts';

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
    say: sayTo(alertReader(config)),
    unwrittenHolds,
  };
  return [
    leftPlacesJob(parts, left),
    morningJob(parts),
    fieldWatchJob(parts),
    planWatchJob(parts),
    followDayJob(parts),
    readBackJob(parts, { delivery, memory: readBack }),
    deliveriesJob(parts, delivery),
    alertsJob(parts),
    holdWatchJob(parts),
    absenceWatchJob(parts, parts.steadyMs),
    revisionsJob(parts),
    forecastRecordJob(parts),
  ];
}
