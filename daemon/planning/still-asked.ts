import type { AskedRotation } from '../../calc/schedule/asked-rotations.ts';
import type { StoredConfirmation } from '../store/confirmations.ts';

/** What was asked for longer ago than this is no longer "now". */
const FORGOTTEN_MS = 2 * 3_600_000;

/**
 * The rotations asked for that a new plan has to have: those that no confirmed plan has run or is
 * about to run before the new one can. Pure.
 */
export function stillAsked(
  asked: readonly AskedRotation[],
  confirmations: readonly StoredConfirmation[],
  at: { nowMs: number; firstRunMs: number },
): AskedRotation[] {
  const served = ({ bedId, askedMs }: AskedRotation) =>
    confirmations.some(({ atMs, stored }) =>
      stored.plan.beds
        .filter((bed) => bed.bedId === bedId)
        .flatMap((bed) => bed.cycles)
        .some(
          ({ startMs, reasons }) =>
            startMs >= atMs &&
            startMs < at.firstRunMs &&
            reasons.some((one) => one.code === 'asked_for' && one.atMs === askedMs),
        ),
    );
  return asked.filter((one) => at.nowMs - one.askedMs < FORGOTTEN_MS && !served(one));
}
