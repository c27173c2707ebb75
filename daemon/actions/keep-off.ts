import { z } from 'zod';
import { standingRuns } from '../../adapters/plan-document.ts';
import type { Run } from '../../calc/schedule/run.ts';
import { planInForce } from '../site/gate/gate.ts';
import { dryUntilMs, keepOffFacts, keptOffRuns, standingAt } from '../site/gate/keep-offs.ts';
import {
  addKeepOff,
  addKeepOffEnd,
  keepOffById,
  type PersonKeepOff,
  personKeepOffs,
} from '../site/store/holds-and-keep-offs.ts';
import { newestPlan } from '../site/store/plans.ts';
import type { Told, ToldKeepOff } from '../words/told.ts';
import { type ActionContext, knownBeds, refuse, requiredText } from './action-context.ts';
import { bedsOrAll, choice, flag, numberOr, text, timeOrNone } from './fields.ts';
import { describeAction } from './spec.ts';

/** The longest interval of a label that is taken. */
const LONGEST_LABEL_S = 30 * 24 * 3600;

/** Longest reason of a keep-off, letters. */
const MOST_WHY = 80;

/** Keeps water off beds in plans made from now on, until it ends by itself or a person ends it. */
export const putKeepOff = describeAction({
  kind: 'keep_off',
  command: 'keep-off',
  letter: 'k',
  isListed: true,
  isPlanned: true,
  schema: z.strictObject({
    kind: z.literal('keep_off'),
    beds: bedsOrAll(),
    why: text({ option: 'why', atMost: MOST_WHY, example: 'injector armed' }),
    untilMs: timeOrNone({ option: 'until', isPast: false, example: '15:30' }),
    labelIntervalS: numberOr(0, {
      option: 'label-interval',
      unit: 'hours',
      atLeast: 0,
      atMost: LONGEST_LABEL_S,
      step: 3600,
      isMore: true,
    }),
  }),
  standing(context) {
    const standing = standingAt(personKeepOffs(context.db), context.nowMs);
    return standing.length === 0
      ? [{ code: 'keep_off_none' }]
      : standing.map((one) => toldStanding(context, one));
  },
  apply(context, input, who) {
    const { db, config, nowMs } = context;
    const { clock, site } = config;
    const { untilMs, labelIntervalS } = input;
    const beds: PersonKeepOff['beds'] =
      input.beds === 'all' ? 'all' : knownBeds(site, input.beds).map((bed) => bed.id);
    const why = requiredText('why', input.why, { ask: 'keep_off_why', atMost: MOST_WHY });
    if (untilMs !== null && untilMs <= nowMs) {
      throw refuse('until', 'until_passed', { got: clock.isoOf(untilMs) });
    }
    const row = { atMs: nowMs, who, why, beds, untilMs, labelIntervalS };
    const thought: PersonKeepOff = {
      ...row,
      keepOffId: 0,
      endedMs: null,
      endedBy: null,
      takenBackMs: null,
    };
    let keepOffId = 0;
    return {
      who,
      step: 'keep_off_put',
      told: [
        {
          code: `keep_off_put${beds === 'all' ? '_all' : ''}${untilMs === null ? '' : '_until'}`,
          beds: beds === 'all' ? '' : beds.join(', '),
          why,
          untilMs,
        },
      ],
      atMs: nowMs,
      hypothetical: { keepOffs: [thought] },
      lift: 'none',
      write() {
        keepOffId = addKeepOff(db, row);
      },
      after() {
        const keepOff = keepOffById(db, keepOffId);
        return keepOff === null
          ? []
          : [toldStanding(context, keepOff), ...stillWatering(context, keepOff)];
      },
    };
  },
});

/** Ends a keep-off; one that was put on by mistake leaves no label's interval behind. */
export const endKeepOff = describeAction({
  kind: 'end_keep_off',
  command: 'keep-off',
  opens: 'end',
  letter: 'e',
  isListed: false,
  isPlanned: true,
  schema: z.strictObject({
    kind: z.literal('end_keep_off'),
    keepOffId: choice(z.int().min(1), { option: 'end', choices: [], example: '2' }),
    byMistake: flag({ option: 'by-mistake' }),
  }),
  begin({ keepOffs, bed }) {
    const [first] = keepOffs;
    if (first === undefined) return { isNothing: true };
    const own = keepOffs.find(
      ({ beds }) => beds === 'all' || (bed !== null && beds.includes(bed.id)),
    );
    return {
      values: { keepOffId: (own ?? first).keepOffId },
      choices: {
        keepOffId: keepOffs.map(({ keepOffId, line }) => ({ value: keepOffId, words: line })),
      },
    };
  },
  apply(context, { keepOffId, byMistake }, who) {
    const { db, config, nowMs } = context;
    const { clock } = config;
    const keepOff = keepOffById(db, keepOffId);
    if (keepOff === null) throw refuse('end', 'no_keep_off', { got: keepOffId });
    const dryMs = dryUntilMs(keepOff);
    if (dryMs <= nowMs) throw refuse('end', 'keep_off_over', { got: keepOffId });
    if (keepOff.endedMs !== null && !byMistake) {
      throw refuse('end', 'keep_off_ended', { got: keepOffId, until: clock.isoOf(dryMs) });
    }
    const thought: PersonKeepOff = {
      ...keepOff,
      endedMs: keepOff.endedMs ?? nowMs,
      endedBy: keepOff.endedBy ?? who,
      takenBackMs: byMistake ? nowMs : keepOff.takenBackMs,
    };
    const code = byMistake ? 'keep_off_taken_back' : 'keep_off_ended';
    return {
      who,
      step: 'keep_off_ended',
      told: [{ code, id: keepOffId, why: keepOff.why }],
      atMs: nowMs,
      hypothetical: { keepOffs: [thought] },
      lift: 'none',
      write: () => addKeepOffEnd(db, { keepOffId, atMs: nowMs, who, byMistake }),
      after() {
        const after = keepOffById(db, keepOffId);
        return after !== null && dryUntilMs(after) > nowMs ? [toldStanding(context, after)] : [];
      },
    };
  },
});

function toldStanding({ db, nowMs }: ActionContext, keepOff: PersonKeepOff): ToldKeepOff {
  const beds = newestPlan(db)?.plan.beds ?? [];
  return { code: 'keep_off_standing', keepOff: keepOffFacts(keepOff), beds, nowMs };
}

/** Runs of the plan in force that a keep-off does not stop. */
export function runsStillWatering({ db, nowMs }: ActionContext, keepOff: PersonKeepOff): Run[] {
  const inForce = planInForce(db, nowMs);
  return inForce === null ? [] : keptOffRuns(standingRuns(inForce), [keepOff], nowMs);
}

function stillWatering(context: ActionContext, keepOff: PersonKeepOff): Told[] {
  const runs = runsStillWatering(context, keepOff);
  if (runs.length === 0) return [];
  const bedIds = [...new Set(runs.map((run) => run.bedId))];
  return [
    { code: 'keep_off_stops_nothing' },
    ...bedIds.map((bedId) => {
      const own = runs.filter((run) => run.bedId === bedId);
      const bed = context.config.site.beds.find((one) => one.id === bedId)?.name ?? bedId;
      const firstMs = Math.min(...own.map((run) => run.startMs));
      return { code: 'still_watered', bed, runs: own.length, firstMs };
    }),
  ];
}
