import { DAY_CALL_BOUNDS, type DayCall } from '../../calc/sky/day-call.ts';
import { addDayCall, type StoredDayCall } from '../store/day-calls.ts';
import { addStep } from '../store/steps.ts';
import { readerOf } from '../words/reader.ts';
import { sayDayCall } from '../words/say-day-call.ts';
import type { Action } from './action.ts';
import { type ActionContext, ActionRefused } from './action-context.ts';

/** A person's correction of today's forecast; it stands in place of an earlier one. */
export function callDay(
  { db, config, nowMs }: ActionContext,
  asked: Omit<DayCall, 'atMs'> & { who: string },
): Action {
  const { clock } = config;
  const { who, hotterK, windFraction, cloudierFraction } = asked;
  const call = { hotterK, windFraction, cloudierFraction };
  for (const key of ['hotterK', 'windFraction', 'cloudierFraction'] as const) {
    const { atLeast, atMost } = DAY_CALL_BOUNDS[key];
    if (!(call[key] >= atLeast && call[key] <= atMost)) {
      throw new ActionRefused(key, `must be ${atLeast} to ${atMost} (got ${call[key]})`);
    }
  }
  const siteDay = clock.siteDayOf(nowMs);
  const row: StoredDayCall = { ...call, atMs: nowMs, who, siteDay };
  const line = `Day call by ${who}: ${sayDayCall(call, readerOf(config))}.`;
  return {
    line,
    who,
    hypothetical: { calls: [row] },
    lift: 'none',
    keep() {
      addDayCall(db, row);
      const what = sayDayCall(call, readerOf({ ...config, units: 'metric' }));
      addStep(db, { atMs: nowMs, kind: 'day_called', who, siteDay, what });
      return [`${line} It goes into every plan of today.`];
    },
  };
}
