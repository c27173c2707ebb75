import type { AskedPlan } from '../planning/make-plan.ts';
import { keepWorkedOut } from '../planning/make-plan.ts';
import type { PlanningContext } from '../planning/planning-context.ts';
import type { StoredPlan } from '../store/plans.ts';
import type { AnswerOf, AskedOf, Question } from './questions.ts';

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
  ask<K extends Question>(question: K, asked: AskedOf<K>, asker?: string): Promise<AnswerOf<K>>;
  /** Gives up what is under way and what waits; may be called again. */
  stop(): void;
}

type Keeping = Pick<PlanningContext, 'db' | 'config' | 'nowMs'>;

/** Has a plan worked out by the reckoner, and keeps it here, held. */
export async function planBy(
  reckoner: Reckoner,
  keeping: Keeping,
  asked: AskedPlan,
): Promise<StoredPlan> {
  const { nowMs } = keeping;
  const { lift, reasons = [] } = asked;
  const workOut = () => reckoner.ask('plan', { nowMs, lift, reasons });
  const stored = await keepWorkedOut(keeping, asked, workOut);
  if (stored === null) throw new Error('plan: not kept though it was asked for');
  return stored;
}
