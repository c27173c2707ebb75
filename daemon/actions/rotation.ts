import { z } from 'zod';
import type { AskedRotation } from '../../calc/schedule/asked-rotations.ts';
import { addAskedRotation } from '../site/store/instructions.ts';
import { knownBed, refuse } from './action-context.ts';
import { bed, numberOr } from './fields.ts';
import { describeAction } from './spec.ts';

/** Asks for rotations now, beside what is planned: the held plan after it has them. */
export const rotation = describeAction({
  kind: 'rotation',
  command: 'rotation',
  letter: 'r',
  isListed: true,
  isPlanned: true,
  schema: z.strictObject({
    kind: z.literal('rotation'),
    bedId: bed(),
    rotations: numberOr(1, { option: 'rotations', unit: 'count', atLeast: 1, atMost: 5, step: 1 }),
  }),
  apply({ db, config, nowMs }, { bedId, rotations }, who) {
    const bed = knownBed(config.site, bedId);
    if (!Number.isInteger(rotations)) throw refuse('rotations', 'not_whole', { got: rotations });
    const row: AskedRotation = { askedMs: nowMs, who, bedId: bed.id, rotations };
    return {
      who,
      step: 'rotation_asked',
      told: [{ code: 'rotation_asked', bed: bed.name, rotations }],
      atMs: nowMs,
      hypothetical: { askedRotations: [row] },
      lift: 'none',
      write: () => addAskedRotation(db, row),
      after: () => [{ code: 'rotation_waits' }],
    };
  },
});
