import type { FieldFault } from './field-faults.ts';

/** What the daemon does about faults that it sees for the first time. */
export interface FaultSteps {
  /** To be told, each once. */
  tell: FieldFault[];
  /** Beds to be put on hold, for a fault and so many more; null: none. */
  hold: { beds: string[]; first: FieldFault; more: number } | null;
}

/** A fault that came to light later than this is told, and holds nothing any more. */
const HOLD_WITHIN_MS = 2 * 3_600_000;

/** Which faults are new, and which beds they stop. Stopping needs nobody; starting does. Pure. */
export function faultSteps(
  faults: readonly FieldFault[],
  given: {
    isTold(key: string): boolean;
    isHeld(bedId: string): boolean;
    nowMs: number;
  },
): FaultSteps {
  const tell = faults.filter(({ key }) => !given.isTold(key));
  const stopping = tell.filter(
    ({ answer, bedId, endMs }) =>
      answer === 'hold' &&
      bedId !== null &&
      !given.isHeld(bedId) &&
      given.nowMs - endMs <= HOLD_WITHIN_MS,
  );
  const beds = [...new Set(stopping.flatMap(({ bedId }) => bedId ?? []))];
  const [first] = stopping;
  if (first === undefined) return { tell, hold: null };
  return { tell, hold: { beds, first, more: stopping.length - 1 } };
}
