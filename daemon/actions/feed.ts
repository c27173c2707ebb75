import { z } from 'zod';
import { knownBeds, refuse, requiredText } from './action-context.ts';
import { bedsOrAll, text, timeOrNone } from './fields.ts';
import { describeAction } from './spec.ts';

const MOST_WHAT = 120;

/** Logs fertiliser that was spread or fed in, for the record: the log is where it stands. */
export const logFeed = describeAction({
  kind: 'feed',
  command: 'feed',
  letter: null,
  isListed: true,
  isPlanned: false,
  schema: z.strictObject({
    kind: z.literal('feed'),
    beds: bedsOrAll(),
    what: text({ option: 'what', atMost: MOST_WHAT, example: 'starter 10-18-12, 20 g/m2' }),
    fedMs: timeOrNone({ option: 'at', isPast: true, example: '07:00' }),
  }),
  apply({ config, nowMs }, input, who) {
    const { site, clock } = config;
    const beds = input.beds === 'all' ? site.beds : knownBeds(site, input.beds);
    const what = requiredText('what', input.what, { ask: 'what_fed', atMost: MOST_WHAT });
    const fedMs = input.fedMs ?? nowMs;
    if (fedMs > nowMs) throw refuse('at', 'lies_ahead', { got: clock.isoOf(fedMs) });
    return {
      who,
      step: 'fed',
      told: beds.map((bed) => ({ code: 'fed', bed: bed.name, what, fedMs })),
      atMs: fedMs,
      hypothetical: {},
      lift: 'none',
      write: () => undefined,
    };
  },
});
