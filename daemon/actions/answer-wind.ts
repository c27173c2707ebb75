import type { WindChoice } from '../../calc/schedule/wind-answers.ts';
import { newestPlanOf } from '../store/plans.ts';
import { addStep } from '../store/steps.ts';
import { addWindAnswer, type StoredWindAnswer } from '../store/wind-answers.ts';
import { sayTo, windChoiceWords } from '../words/plan-words.ts';
import { readerOf } from '../words/reader.ts';
import type { Action } from './action.ts';
import { type ActionContext, ActionRefused } from './action-context.ts';

/** A person's answer to what today's plan asks about the wind; it stands in place of an earlier one. */
export function answerWind(
  { db, config, nowMs }: ActionContext,
  asked: { choice: WindChoice; who: string },
): Action {
  const { choice, who } = asked;
  const siteDay = config.clock.siteDayOf(nowMs);
  if (newestPlanOf(db, siteDay)?.plan.question === undefined) {
    throw new ActionRefused(
      'answer',
      `nothing is asked about the wind (got ${choice}); answer when the newest plan of today asks`,
    );
  }
  const row: StoredWindAnswer = { choice, who, atMs: nowMs, siteDay };
  const words = windChoiceWords(choice, sayTo(readerOf(config))).toLowerCase();
  const line = `Answer to the wind by ${who}: ${words}.`;
  return {
    line,
    who,
    hypothetical: { windAnswers: [row] },
    lift: 'none',
    keep() {
      addWindAnswer(db, row);
      addStep(db, { atMs: nowMs, kind: 'wind_answered', who, siteDay, what: words });
      return [`${line} It goes into every plan of today that would ask.`];
    },
  };
}
