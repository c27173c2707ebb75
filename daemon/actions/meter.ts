import { z } from 'zod';
import type { Coded } from '../coded.ts';
import { addMeterReading, meterReadings } from '../site/store/hand-records.ts';
import { refuse } from './action-context.ts';
import { number, textOrNone, timeOrNone } from './fields.ts';
import { describeAction } from './spec.ts';

/** Keeps what a person read on the water meter; reports hold their own sums against it. */
export const readMeter = describeAction({
  kind: 'meter',
  command: 'meter',
  letter: null,
  isListed: true,
  isPlanned: false,
  schema: z.strictObject({
    kind: z.literal('meter'),
    // More than any meter's counter shows is a slip of the pen.
    volumeL: number({
      option: 'read',
      unit: 'volume',
      atLeast: 0,
      atMost: 1e12,
      step: 1000,
      example: '123456 gal',
    }),
    readMs: timeOrNone({ option: 'at', isPast: true, example: '07:00' }),
    note: textOrNone({ option: 'note', atMost: 200, isMore: true }),
  }),
  standing({ db, config }) {
    const readings = meterReadings(db);
    if (readings.length === 0) return [{ code: 'meter_never_read' }];
    return readings.map(({ readMs, volumeL, who, note }, index) => {
      const before = readings[index - 1];
      return {
        code: before === undefined ? 'meter_standing' : 'meter_standing_since',
        at: config.clock.isoOf(readMs),
        volumeL,
        sinceL: before === undefined ? null : volumeL - before.volumeL,
        who,
        note,
      };
    });
  },
  apply({ db, config, nowMs }, input, who) {
    const { clock } = config;
    const { volumeL } = input;
    const readMs = input.readMs ?? nowMs;
    const at = clock.isoOf(readMs);
    if (readMs > nowMs) throw refuse('at', 'lies_ahead', { got: at });
    const readings = meterReadings(db);
    if (readings.some((one) => one.readMs === readMs))
      throw refuse('at', 'meter_twice', { got: at });
    const before = readings.findLast((one) => one.readMs < readMs);
    const note = input.note?.trim() ?? '';
    return {
      who,
      step: 'meter_read',
      told: [{ code: 'meter_read', at, volumeL }],
      atMs: readMs,
      hypothetical: {},
      lift: 'none',
      write: () => addMeterReading(db, { atMs: nowMs, who, readMs, volumeL, note }),
      after(): Coded[] {
        if (before === undefined) return [{ code: 'meter_first' }];
        const sinceL = volumeL - before.volumeL;
        const since = { code: 'meter_since', sinceL, since: clock.isoOf(before.readMs) };
        return sinceL < 0 ? [since, { code: 'meter_fell' }] : [since];
      },
    };
  },
});
