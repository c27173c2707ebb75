import { display } from '../../adapters/display-units.ts';
import { inTransaction } from '../store/in-transaction.ts';
import { addMeterReading, meterReadings } from '../store/meter-readings.ts';
import { addStep } from '../store/steps.ts';
import { type ActionContext, ActionRefused } from './action-context.ts';

/** More than any meter's counter shows is a slip of the pen. */
const MOST_L = 1e12;

/** Keeps what a person read on the water meter. Gives what was done, one line each. */
export function readMeter(
  { db, config, nowMs }: ActionContext,
  asked: { volumeL: number; readMs: number; who: string; note: string },
): string[] {
  const { clock, units } = config;
  const { volumeL, readMs, who, note } = asked;
  if (!(volumeL >= 0 && volumeL <= MOST_L)) {
    throw new ActionRefused(
      'read',
      `must be 0 to ${MOST_L} L (got ${volumeL} L); read the meter again`,
    );
  }
  if (readMs > nowMs) {
    throw new ActionRefused(
      'at',
      `lies ahead (got ${clock.isoOf(readMs)}); give the time of reading`,
    );
  }
  const readings = meterReadings(db);
  if (readings.some((one) => one.readMs === readMs)) {
    throw new ActionRefused(
      'at',
      `has a reading already (got ${clock.isoOf(readMs)}); put it right with \`dewbeat correct --what meter\``,
    );
  }
  const before = readings.findLast((one) => one.readMs < readMs);
  const show = display(units);
  const what = `meter at ${clock.isoOf(readMs)}: ${show.volume(volumeL)}`;
  inTransaction(db, () => {
    addMeterReading(db, { atMs: nowMs, who, readMs, volumeL, note });
    const siteDay = clock.siteDayOf(readMs);
    addStep(db, { atMs: nowMs, kind: 'meter_read', who, siteDay, what });
  });
  if (before === undefined) return [`Kept: ${what}. The first reading; the next tells a volume.`];
  const since = `${show.volume(volumeL - before.volumeL)} since ${clock.isoOf(before.readMs)}`;
  const fell = volumeL < before.volumeL ? ' The meter stands lower than before: is it right?' : '';
  return [`Kept: ${what}, ${since}.${fell}`];
}
