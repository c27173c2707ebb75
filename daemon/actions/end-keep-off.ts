import { dryUntilMs } from '../gate/standing-keep-offs.ts';
import { addKeepOffEnd, keepOffById, type PersonKeepOff } from '../store/keep-offs.ts';
import { addStep } from '../store/steps.ts';
import type { Action } from './action.ts';
import { type ActionContext, ActionRefused } from './action-context.ts';
import { sayStandingKeepOff } from './put-keep-off.ts';

/** Ends a keep-off; one that was put on by mistake leaves no label's interval behind. */
export function endKeepOff(
  context: ActionContext,
  asked: { keepOffId: number; byMistake: boolean; who: string },
): Action {
  const { db, config, nowMs } = context;
  const { clock } = config;
  const { keepOffId, byMistake, who } = asked;
  const keepOff = Number.isInteger(keepOffId) ? keepOffById(db, keepOffId) : null;
  if (keepOff === null) {
    throw new ActionRefused(
      'end',
      `no such keep-off (got ${keepOffId}); see their numbers with \`dewbeat keep-off\``,
    );
  }
  const dryMs = dryUntilMs(keepOff);
  if (dryMs <= nowMs || (keepOff.endedMs !== null && !byMistake)) {
    const rest =
      dryMs <= nowMs
        ? 'it keeps nothing off any more'
        : `its label keeps water off until ${clock.isoOf(dryMs)}`;
    throw new ActionRefused('end', `is over already (got ${keepOffId}); ${rest}`);
  }
  const thought: PersonKeepOff = {
    ...keepOff,
    endedMs: keepOff.endedMs ?? nowMs,
    endedBy: keepOff.endedBy ?? who,
    takenBackMs: byMistake ? nowMs : keepOff.takenBackMs,
  };
  const line = `Keep-off ${keepOffId} (${keepOff.why}) ended by ${who}.`;
  return {
    line,
    who,
    hypothetical: { keepOffs: [thought] },
    lift: 'none',
    keep() {
      addKeepOffEnd(db, { keepOffId, atMs: nowMs, who, byMistake });
      addStep(db, {
        atMs: nowMs,
        kind: 'keep_off_ended',
        who,
        siteDay: clock.siteDayOf(nowMs),
        what: `${keepOffId}: ${keepOff.why}${byMistake ? ', put on by mistake' : ''}`,
      });
      const after = keepOffById(db, keepOffId);
      const still = after !== null && dryUntilMs(after) > nowMs;
      return [still ? sayStandingKeepOff(context, after) : line];
    },
  };
}
