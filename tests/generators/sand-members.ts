import { createHash } from 'node:crypto';
import { KEPT_FRACTION } from '../../calc/sand/bed-column.ts';
import type { VanGenuchten } from '../../calc/sand/hydraulic-properties.ts';
import { spreadOfClass } from '../../calc/sand/possible-sands.ts';
import type { SandClass } from '../../calc/sand/sand-classes.ts';
import { DERIVATION, GREATEST_SOUND_COST } from '../../calc/sand/seedbed-fit.ts';
import { WET_SURFACE_FRACTION } from '../../calc/sand/seedbed-model.ts';

/** Sands that stand for a class, equally likely. */
export const MEMBERS = 24;
/** Where in its strata a sand lies; the next one where a fit got stuck, which says nothing of its sand. */
const WITHIN_FRACTIONS = [0.5, 0.25, 0.75, 0.1, 0.9] as const;

/** The sands of a class, and for each of them those that are drawn instead, in turn. */
export function candidateSands(sandClass: SandClass): VanGenuchten[][] {
  const draws = WITHIN_FRACTIONS.map((within) => spreadOfClass(sandClass, MEMBERS, within));
  return Array.from({ length: MEMBERS }, (_, index) =>
    draws.flatMap((sands) => sands[index] ?? []),
  );
}

/** What every model follows from besides its bed. */
export function derivationOf(): Record<string, number> {
  return { DERIVATION, WET_SURFACE_FRACTION, KEPT_FRACTION };
}

/** Digest of all that a class's models and members follow from: what changes it makes them stale. */
export function inputsDigest(sandClass: SandClass): string {
  const inputs = {
    bed: sandClass.bed,
    candidates: candidateSands(sandClass),
    GREATEST_SOUND_COST,
    ...derivationOf(),
  };
  return createHash('sha256').update(JSON.stringify(inputs)).digest('hex').slice(0, 16);
}
