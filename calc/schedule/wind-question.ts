import type { PlanWarning } from './plan-warning.ts';
import type { SayMeasures } from './reasons.ts';
import type { WindAnswer, WindChoice, WindQuestion } from './wind-answers.ts';

/** The answers in words. */
export const WIND_CHOICE_WORDS: Readonly<Record<WindChoice, string>> = {
  run_anyway: 'Run anyway',
  skip: 'Skip the windy hours',
  shorter_and_oftener: 'Shorter and oftener',
};

/** What the plan says of the wind: the question, or who answered what, with each answer's cost. */
export function windWarning(
  question: WindQuestion,
  say: Pick<SayMeasures, 'timeOf' | 'depth'>,
): PlanWarning {
  const { answered } = question;
  const beds = question.bedIds.length === 1 ? 'bed needs' : 'beds need';
  const asked = `Wind is above the limit from ${say.timeOf(question.fromMs)} to ${say.timeOf(question.toMs)} while ${question.bedIds.length} ${beds} water.`;
  const told = answersOf(question).map(
    ({ words, isPlanned, cost }) =>
      `${words}${isPlanned ? ', as planned' : ''}: ${costs(cost, say)}.`,
  );
  return {
    code: answered === undefined ? 'wind_question' : 'wind_answered',
    bedId: null,
    text: [asked, ...(answered === undefined ? [] : [sayWindAnswer(answered, say)]), ...told].join(
      ' ',
    ),
  };
}

/** Who answered what, and when. */
export function sayWindAnswer(
  { choice, who, atMs }: NonNullable<WindQuestion['answered']>,
  say: Pick<SayMeasures, 'timeOf'>,
): string {
  return `${who} answered at ${say.timeOf(atMs)}: ${WIND_CHOICE_WORDS[choice].toLowerCase()}.`;
}

/** Each answer with its cost, and whether the plan is laid so. */
export function answersOf(
  question: WindQuestion,
): { choice: WindChoice; words: string; isPlanned: boolean; cost: WindAnswer }[] {
  const planned = question.answered?.choice ?? 'run_anyway';
  const one = (choice: WindChoice, cost: WindAnswer) => ({
    choice,
    words: WIND_CHOICE_WORDS[choice],
    isPlanned: choice === planned,
    cost,
  });
  return [
    one('run_anyway', question.runAnyway),
    one('skip', question.skip),
    one('shorter_and_oftener', question.shorterAndOftener),
  ];
}

/** What an answer costs, in words. */
export function costs(
  { cycles, driftMm, minutesBelowDryLimit, isAtMost = false }: WindAnswer,
  say: Pick<SayMeasures, 'depth'>,
): string {
  const minutes = `${isAtMost ? 'at most ' : ''}${minutesBelowDryLimit} min`;
  return `${cycles} cycles, ${say.depth(driftMm)} to wind and air, ${minutes} below the dry limit`;
}
