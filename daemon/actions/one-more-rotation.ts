import type { AskedRotation } from '../../calc/schedule/asked-rotations.ts';
import { addAskedRotation } from '../store/asked-rotations.ts';
import { addStep } from '../store/steps.ts';
import type { Action } from './action.ts';
import { type ActionContext, ActionRefused } from './action-context.ts';
import { knownBed } from './known-beds.ts';

const MOST_ROTATIONS = 5;

/** Asks for rotations now, beside what is planned: the held plan after it has them. */
export function oneMoreRotation(
  { db, config, nowMs }: ActionContext,
  asked: { bedId: string | undefined; rotations: number; who: string },
): Action {
  const bed = knownBed(config.site, asked.bedId);
  const { rotations, who } = asked;
  if (!Number.isInteger(rotations) || rotations < 1 || rotations > MOST_ROTATIONS) {
    throw new ActionRefused(
      'rotations',
      `must be a whole number from 1 to ${MOST_ROTATIONS} (got ${rotations})`,
    );
  }
  const row: AskedRotation = { askedMs: nowMs, who, bedId: bed.id, rotations };
  const many = rotations === 1 ? 'one rotation' : `${rotations} rotations`;
  const line = `${bed.name}: ${many} more now, asked for by ${who}.`;
  return {
    line,
    who,
    hypothetical: { askedRotations: [row] },
    lift: 'none',
    keep() {
      addAskedRotation(db, row);
      addStep(db, {
        atMs: nowMs,
        kind: 'rotation_asked',
        who,
        siteDay: config.clock.siteDayOf(nowMs),
        what: `${bed.name}: ${many} more`,
      });
      return [line, 'It runs only when the held plan that has it is confirmed.'];
    },
  };
}
