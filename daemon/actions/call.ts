import { z } from 'zod';
import { changesNothing, DAY_CALL_BOUNDS, NO_CALL } from '../../calc/sky/day-call.ts';
import { addDayCall, dayCallsOf, type StoredDayCall } from '../site/store/instructions.ts';
import { numberOr } from './fields.ts';
import { describeAction } from './spec.ts';

const { hotterK, windFraction, cloudierFraction } = DAY_CALL_BOUNDS;

/** A person's correction of today's forecast; it stands in place of an earlier one. */
export const callDay = describeAction({
  kind: 'call',
  command: 'call',
  letter: 'd',
  isListed: true,
  isPlanned: true,
  beginsAsItStands: true,
  schema: z.strictObject({
    kind: z.literal('call'),
    hotterK: numberOr(0, {
      option: 'hotter',
      unit: 'temperature_difference',
      ...hotterK,
      step: 1,
      example: '3',
    }),
    windFraction: numberOr(1, {
      option: 'windier',
      unit: 'factor',
      ...windFraction,
      step: 0.25,
      example: '1.5',
    }),
    cloudierFraction: numberOr(0, {
      option: 'cloudier',
      unit: 'share',
      ...cloudierFraction,
      step: 0.1,
      example: '20',
    }),
  }),
  presets: [{ option: 'clear', values: { ...NO_CALL } }],
  begin: ({ call }) => ({ values: { ...call }, facts: { line: call.line } }),
  standing({ db, config, nowMs }) {
    const call = dayCallsOf(db, config.clock.siteDayOf(nowMs)).at(-1);
    return call === undefined || changesNothing(call)
      ? [{ code: 'call_none' }]
      : [{ ...factsOf(call), code: 'call_standing', who: call.who, atMs: call.atMs }];
  },
  apply({ db, config, nowMs }, input, who) {
    const row: StoredDayCall = {
      ...factsOf(input),
      atMs: nowMs,
      who,
      siteDay: config.clock.siteDayOf(nowMs),
    };
    return {
      who,
      step: 'day_called',
      told: [{ code: 'day_called', ...factsOf(input) }],
      atMs: nowMs,
      hypothetical: { calls: [row] },
      lift: 'none',
      write: () => addDayCall(db, row),
      after: () => [{ code: 'day_called_next' }],
    };
  },
});

function factsOf(call: { hotterK: number; windFraction: number; cloudierFraction: number }) {
  const { hotterK, windFraction, cloudierFraction } = call;
  return { hotterK, windFraction, cloudierFraction };
}
