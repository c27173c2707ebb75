import { standingRuns } from '../../adapters/standing-runs.ts';
import type { Run } from '../../calc/schedule/run.ts';
import { planInForce } from '../gate/gate.ts';
import { keptOffRuns } from '../gate/kept-off-runs.ts';
import { keepOffFacts } from '../gate/standing-keep-offs.ts';
import { addKeepOff, keepOffById, type PersonKeepOff } from '../store/keep-offs.ts';
import { newestPlan } from '../store/plans.ts';
import { addStep } from '../store/steps.ts';
import { readerOf } from '../words/reader.ts';
import { sayKeepOff } from '../words/say-keep-off.ts';
import type { Action } from './action.ts';
import { type ActionContext, ActionRefused } from './action-context.ts';
import { knownBed, requiredText } from './known-beds.ts';

/** What keep-offs are for; other words are taken as well. */
export const KEEP_OFF_KINDS =
  'mow, roll, feed, spray, topdress, covers on, visitors, injector armed';

/** The longest interval of a label that is taken. */
export const LONGEST_LABEL_S = 30 * 24 * 3600;

/** Longest reason of a keep-off, letters. */
const MOST_WHY = 80;

/** Keeps water off beds in plans made from now on, until it ends by itself or a person ends it. */
export function putKeepOff(
  context: ActionContext,
  asked: {
    beds: 'all' | readonly string[];
    why: string | undefined;
    who: string;
    untilMs: number | null;
    labelIntervalS: number;
  },
): Action {
  const { db, config, nowMs } = context;
  const { clock, site } = config;
  const { who, untilMs, labelIntervalS } = asked;
  const beds: PersonKeepOff['beds'] =
    asked.beds === 'all' ? 'all' : [...new Set(asked.beds.map((id) => knownBed(site, id).id))];
  if (beds.length === 0) knownBed(site, undefined);
  const why = requiredText('why', asked.why, {
    ask: `say what for: ${KEEP_OFF_KINDS}`,
    most: MOST_WHY,
  });
  if (untilMs !== null && untilMs <= nowMs) {
    throw new ActionRefused(
      'until',
      `has passed (got ${clock.isoOf(untilMs)}); give a later time, or leave it out and end it by hand`,
    );
  }
  if (labelIntervalS > 0 && !/^spray/i.test(why)) {
    throw new ActionRefused('label-interval', `goes with a spray (got ${why}); say spray`);
  }
  if (!(labelIntervalS >= 0 && labelIntervalS <= LONGEST_LABEL_S)) {
    throw new ActionRefused('label-interval', `must be 0 to 30 days (got ${labelIntervalS} s)`);
  }
  const row = { atMs: nowMs, who, why, beds, untilMs, labelIntervalS };
  const thought: PersonKeepOff = {
    ...row,
    keepOffId: 0,
    endedMs: null,
    endedBy: null,
    takenBackMs: null,
  };
  const names = beds === 'all' ? 'all beds' : beds.join(', ');
  return {
    line: `Keep-off (${why}) on ${names} by ${who}, ${untilMs === null ? 'until a person ends it' : `until ${clock.timeOf(untilMs)}`}.`,
    who,
    hypothetical: { keepOffs: [thought] },
    lift: 'none',
    keep() {
      const keepOffId = addKeepOff(db, row);
      const until = untilMs === null ? 'until ended' : `until ${clock.isoOf(untilMs)}`;
      addStep(db, {
        atMs: nowMs,
        kind: 'keep_off_put',
        who,
        siteDay: clock.siteDayOf(nowMs),
        what: `${keepOffId}: ${names}, ${why}, ${until}`,
      });
      const keepOff = keepOffById(db, keepOffId);
      if (keepOff === null) throw new Error('keep_off: not found right after it was added');
      return [sayStandingKeepOff(context, keepOff), ...stillWaters(context, keepOff)];
    },
  };
}

/** A standing keep-off with the hours that its beds have left. */
export function sayStandingKeepOff(
  { db, config, nowMs }: ActionContext,
  keepOff: PersonKeepOff,
): string {
  const beds = newestPlan(db)?.plan.beds ?? [];
  return sayKeepOff(keepOffFacts(keepOff), { beds, nowMs, reader: readerOf(config) });
}

/** Runs of the plan in force that a keep-off does not stop. */
export function runsStillWatering({ db, nowMs }: ActionContext, keepOff: PersonKeepOff): Run[] {
  const inForce = planInForce(db, nowMs);
  return inForce === null ? [] : keptOffRuns(standingRuns(inForce), [keepOff], nowMs);
}

function stillWaters(context: ActionContext, keepOff: PersonKeepOff): string[] {
  const { config } = context;
  const runs = runsStillWatering(context, keepOff);
  if (runs.length === 0) return [];
  const bedIds = [...new Set(runs.map((run) => run.bedId))];
  return [
    'THE PLAN IN FORCE STILL WATERS THESE BEDS. A keep-off changes plans; only a hold stops what is in force:',
    ...bedIds.map((bedId) => {
      const own = runs.filter((run) => run.bedId === bedId);
      const firstMs = Math.min(...own.map((run) => run.startMs));
      const name = config.site.beds.find((bed) => bed.id === bedId)?.name ?? bedId;
      return `  ${name}: ${own.length} ${own.length === 1 ? 'run' : 'runs'}, the first at ${config.clock.timeOf(firstMs)}`;
    }),
  ];
}
