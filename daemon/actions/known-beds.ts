import type { Bed, Site } from '../../calc/schedule/site.ts';
import { ActionRefused } from './action-context.ts';

/**
 * The bed that a person named.
 * @throws ActionRefused that lists the beds when it is missing or unknown.
 */
export function knownBed(site: Site, id: string | undefined): Bed {
  const bed = site.beds.find((one) => one.id === id);
  if (bed !== undefined) return bed;
  const got = id === undefined ? 'is missing' : `no such bed (got ${id})`;
  throw new ActionRefused(
    'bed',
    `${got}; the beds are ${site.beds.map((one) => one.id).join(', ')}`,
  );
}

/** A text that a person must give, such as a name or a reason, without blanks around it. */
export function requiredText(
  part: string,
  text: string | undefined,
  rules: { ask: string; most?: number },
): string {
  const { ask, most } = rules;
  const given = text?.trim() ?? '';
  if (given === '') throw new ActionRefused(part, `is missing; ${ask}`);
  if (most !== undefined && given.length > most) {
    throw new ActionRefused(part, `is too long (got ${given.length} letters); use ${most} or less`);
  }
  return given;
}
