import { keepWorkedOutPlan, type PlanRequest } from '../../planning/make-plan.ts';
import type { PlanningContext } from '../../planning/planning-context.ts';
import type { StoredPlan } from '../../site/store/plans.ts';
import {
  QUESTION_RANKS,
  type Question,
  type QuestionAnswer,
  type QuestionContext,
  type QuestionInput,
  questionsOn,
} from './questions.ts';
import { turnQueue } from './turns.ts';

/**
 * Works out what takes long, one question after another, so that whoever asks goes on meanwhile:
 * beside the daemon in a process of its own (`reckoner-beside.ts`), or right here
 * (`reckoner-here.ts`) in commands and tests.
 */
export interface Reckoner {
  /**
   * @param asker Whose thought it is: of one asker a single question of a kind waits, and a newer
   *   one takes its place. Left out: it is no thought, and waits until it has its turn.
   * @throws NotReckoned, and what the question itself throws.
   */
  ask<K extends Question>(
    question: K,
    asked: QuestionInput<K>,
    asker?: string,
  ): Promise<QuestionAnswer<K>>;
  /** Gives up what is under way and what waits; may be called again. */
  stop(): void;
}

type KeepingContext = Pick<PlanningContext, 'db' | 'config' | 'nowMs'>;

/** Has a plan worked out by the reckoner, and keeps it here, held. */
export async function planBy(
  reckoner: Reckoner,
  keeping: KeepingContext,
  asked: PlanRequest,
): Promise<StoredPlan> {
  const { nowMs } = keeping;
  const { lift, reasons = [] } = asked;
  const workOut = () => reckoner.ask('plan', { nowMs, lift, reasons });
  const stored = await keepWorkedOutPlan(keeping, asked, workOut);
  if (stored === null) throw new Error('plan: not kept though it was asked for');
  return stored;
}

/** Answers in this very process, which does nothing else meanwhile: for commands and tests. */
export function reckonerHere(ground: QuestionContext): Reckoner {
  const questions = questionsOn(ground);
  const turns = turnQueue();
  return {
    ask: (question, asked, asker) =>
      turns.take(
        {
          rank: QUESTION_RANKS[question],
          key: asker === undefined ? null : `${question} ${asker}`,
        },
        async () => {
          const answer = questions[question] as (
            given: QuestionInput<typeof question>,
          ) => Promise<QuestionAnswer<typeof question>>;
          return answer(asked);
        },
      ),
    stop: turns.stop,
  };
}
