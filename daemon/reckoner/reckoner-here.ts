import { type AnswerOf, type AskedOf, type Ground, questionsOn } from './questions.ts';
import { RANKS } from './ranks.ts';
import type { Reckoner } from './reckoner.ts';
import { inTurns } from './turns.ts';

/** Answers in this very process, which does nothing else meanwhile: for commands and tests. */
export function reckonerHere(ground: Ground): Reckoner {
  const questions = questionsOn(ground);
  const turns = inTurns();
  return {
    ask: (question, asked, asker) =>
      turns.take(
        { rank: RANKS[question], key: asker === undefined ? null : `${question} ${asker}` },
        async () => {
          const answer = questions[question] as (
            given: AskedOf<typeof question>,
          ) => Promise<AnswerOf<typeof question>>;
          return answer(asked);
        },
      ),
    stop: turns.stop,
  };
}
