import { isMessage, type Say } from '../words/language.ts';
import { ACTIONS } from './list.ts';

/** An action in the list of those that a person can choose from. */
export interface ActionChoice {
  kind: string;
  name: string;
  /** When it is the right one. */
  when: string;
}

/** What a person can choose to do, in the order in which it is offered. */
export function actionChoices(say: Say): ActionChoice[] {
  const told = (key: string) => (isMessage(key) ? say(key) : '');
  return ACTIONS.filter((spec) => spec.isListed).map(({ kind }) => ({
    kind,
    name: told(`act.${kind}`),
    when: told(`act.${kind}.for`),
  }));
}
