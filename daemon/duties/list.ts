import { absenceWatchDuty } from './absence-watch.ts';
import { deliveriesDuty } from './deliveries.ts';
import type { Duty, DutyParts } from './duty.ts';
import { fieldWatchDuty } from './field-watch.ts';
import { holdWatchDuty } from './hold-watch.ts';
import { morningDuty } from './morning.ts';
import { newsDuty } from './news.ts';
import { revisionsDuty } from './revisions.ts';

/**
 * Everything that a running daemon does by itself, in the order of a nudge: what is owed goes out
 * before the work of looking ahead begins.
 */
export function dutiesOf(parts: DutyParts): Duty[] {
  return [
    morningDuty(parts),
    fieldWatchDuty(parts),
    deliveriesDuty(parts),
    newsDuty(parts),
    holdWatchDuty(parts),
    absenceWatchDuty(parts, parts.steadyMs),
    revisionsDuty(parts),
  ];
}
