import { z } from 'zod';
import { WIND_CHOICES } from '../../calc/schedule/day-plan.ts';
import { addWindAnswer, type StoredWindAnswer } from '../site/store/instructions.ts';
import { newestPlanOf } from '../site/store/plans.ts';
import { type ActionContext, refuse } from './action-context.ts';
import { choice } from './fields.ts';
import { describeAction } from './spec.ts';

const TYPED = { run_anyway: 'run', shorter_and_oftener: 'shorter', skip: 'skip' } as const;

/** A person's answer to what today's plan asks about the wind; it stands in place of an earlier one. */
export const answerWind = describeAction({
  kind: 'wind',
  command: 'wind',
  letter: 'a',
  isListed: false,
  isPlanned: true,
  schema: z.strictObject({
    kind: z.literal('wind'),
    choice: choice(z.enum(WIND_CHOICES), {
      option: 'answer',
      choices: WIND_CHOICES.map((value) => ({ value, typed: TYPED[value] })),
      example: 'skip',
    }),
  }),
  begin({ question }) {
    if (question === null) return { isNothing: true };
    return {
      values: { choice: question.answers.find((one) => one.isPlanned)?.answer },
      choices: {
        choice: question.answers.map(({ answer, line }) => ({ value: answer, words: line })),
      },
      facts: { line: question.line },
    };
  },
  standing(context) {
    const question = questionOf(context);
    return question === undefined
      ? [{ code: 'wind_not_asked' }]
      : [{ code: 'wind_asked', question }, { code: 'wind_how' }];
  },
  apply(context, { choice }, who) {
    const { db, config, nowMs } = context;
    if (questionOf(context) === undefined)
      throw refuse('answer', 'wind_not_asked', { got: choice });
    const siteDay = config.clock.siteDayOf(nowMs);
    const row: StoredWindAnswer = { choice, who, atMs: nowMs, siteDay };
    return {
      who,
      step: 'wind_answered',
      told: [{ code: 'wind_answered', windChoice: choice }],
      atMs: nowMs,
      hypothetical: { windAnswers: [row] },
      lift: 'none',
      write: () => addWindAnswer(db, row),
      after: () => [{ code: 'wind_answered_next' }],
    };
  },
});

function questionOf({ db, config, nowMs }: ActionContext) {
  return newestPlanOf(db, config.clock.siteDayOf(nowMs))?.plan.question;
}
