import type { Bed, Site } from '../../../calc/schedule/site.ts';
import { CommandFailure } from './shell.ts';

/**
 * The bed that a person named.
 * @throws CommandFailure that lists the beds when it is missing or unknown.
 */
export function knownBed(site: Site, id: string | undefined): Bed {
  const bed = site.beds.find((one) => one.id === id);
  if (bed !== undefined) return bed;
  const got = id === undefined ? 'is missing' : `no such bed (got ${id})`;
  throw new CommandFailure(
    2,
    `--bed: ${got}; the beds are ${site.beds.map((one) => one.id).join(', ')}`,
  );
}
