import { z } from 'zod';
import { WIND_CHOICES } from '../../../calc/schedule/wind-answers.ts';
import { DAY_CALL_BOUNDS } from '../../../calc/sky/day-call.ts';

const within = ({ atLeast, atMost }: { atLeast: number; atMost: number }) =>
  z.number().min(atLeast).max(atMost);
const bedId = z.string().min(1).max(64);
const bedIds = z.array(bedId).min(1).max(2000);
const beds = z.union([z.literal('all'), bedIds], {
  error: 'is missing; name the beds, or write all',
});
const why = z.string().max(200);
const instantMs = z.int().min(0);

/** The changes that the page may ask for; the acts look at what they mean. */
export const changeSchema = z.discriminatedUnion('kind', [
  z.strictObject({
    kind: z.literal('call'),
    hotterK: within(DAY_CALL_BOUNDS.hotterK),
    windFraction: within(DAY_CALL_BOUNDS.windFraction),
    cloudierFraction: within(DAY_CALL_BOUNDS.cloudierFraction),
  }),
  z.strictObject({
    kind: z.literal('keep_off'),
    beds,
    why,
    untilMs: instantMs.nullable().default(null),
    labelIntervalS: z.number().min(0).default(0),
  }),
  z.strictObject({
    kind: z.literal('end_keep_off'),
    keepOffId: z.int().min(1),
    byMistake: z.boolean().default(false),
  }),
  z.strictObject({
    kind: z.literal('water'),
    bedId,
    amount: z.union([
      z.strictObject({ netMm: z.number().positive() }),
      z.strictObject({ stationId: bedId, runS: z.number().positive() }),
    ]),
    startMs: instantMs.nullable().default(null),
  }),
  z.strictObject({
    kind: z.literal('rotation'),
    bedId,
    rotations: z.int().min(1).default(1),
  }),
  z.strictObject({ kind: z.literal('stage'), bedIds, to: z.string().max(40), why }),
  z.strictObject({ kind: z.literal('stage_back'), bedIds, why }),
  z.strictObject({ kind: z.literal('trim'), bedId, trimPct: z.number(), why }),
  z.strictObject({ kind: z.literal('wind'), choice: z.enum(WIND_CHOICES) }),
  z.strictObject({
    kind: z.literal('replan'),
    lift: z.union([z.literal('none'), z.literal('all'), bedIds]).default('none'),
  }),
]);
