import { display } from '../../../adapters/display-units.ts';
import { everyLook } from '../../store/looks.ts';
import { saySeen } from '../../words/look-lines.ts';
import type { LookPoint } from './bed-view.ts';
import type { ViewContext } from './view-context.ts';

/** Looks of the last days that were not taken back, the newest first. */
const SHOWN_MS = 3 * 24 * 3_600_000;

/** What persons saw on a bed of late, with the store that a probe's reading stands for. */
export function readLooks(context: ViewContext, bedId: string, capacityMm: number): LookPoint[] {
  const { db, config, nowMs } = context;
  const show = display(config.units);
  return everyLook(db)
    .filter((one) => one.bedId === bedId && one.undoneMs === null)
    .filter((one) => one.seenMs > nowMs - SHOWN_MS)
    .toReversed()
    .map((one): LookPoint => {
      const leftFraction = one.expected?.probeLeftFraction ?? null;
      const part = leftFraction === null ? '' : `; ${show.fraction(leftFraction)} of the store`;
      return {
        atMs: one.seenMs,
        who: one.who,
        kind: one.surface ?? (one.probeFraction === null ? 'note' : 'probe'),
        storeMm: leftFraction === null ? null : leftFraction * capacityMm,
        line: `${config.clock.isoOf(one.seenMs).slice(0, 10)} ${config.clock.timeOf(one.seenMs)}, ${one.who}: ${saySeen(one, show)}${part}`,
      };
    });
}
