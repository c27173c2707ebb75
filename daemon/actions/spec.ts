import type { z } from 'zod';
import type { StageName } from '../../calc/growth/stages.ts';
import type { WindChoice } from '../../calc/schedule/day-plan.ts';
import type { Told } from '../words/told.ts';
import type { Action } from './action.ts';
import type { ActionContext } from './action-context.ts';

/** What stands while a person writes an action down; the words in it are shown as they are. */
export interface FormFacts {
  bed: { id: string; stage: StageName; trimPct: number } | null;
  call: { hotterK: number; windFraction: number; cloudierFraction: number; line: string };
  keepOffs: readonly { keepOffId: number; beds: 'all' | readonly string[]; line: string }[];
  question: {
    line: string;
    answers: readonly { answer: WindChoice; line: string; isPlanned: boolean }[];
  } | null;
  holds: readonly { line: string }[];
  /** Signs of the chosen bed's next stage. */
  signs: readonly string[];
}

/** What a form begins with. */
export interface FormStart {
  /** Values of fields, by their keys. */
  values?: Readonly<Record<string, unknown>>;
  /** What may be chosen, where that depends on the site. `words` is a text, or the key of a message. */
  choices?: Readonly<Record<string, readonly { value: unknown; words: string }[]>>;
  /** Texts to take with a tap, by the keys of their fields. */
  suggestions?: Readonly<Record<string, readonly string[]>>;
  /** What the introduction tells. */
  facts?: Readonly<Record<string, string | number>>;
  /** Which introduction, where there are several: `act.KIND.intro_NAME`. */
  intro?: string;
  /** Nothing can be done now: the message `act.KIND.nothing` says why. */
  isNothing?: boolean;
}

/**
 * Something that a person can do: its fields with units and bounds, what it makes of them, and what the log
 * calls it. Commands, forms, routes and hints follow from it; its words are the messages `act.KIND.…` and
 * `field.KIND.…`.
 */
export interface ActionSpec<K extends string = string, S extends z.ZodObject = z.ZodObject> {
  kind: K;
  /** The command that does it; null: a command of its own does. */
  command: string | null;
  /** The option that tells it from the others of its command; absent: it is the command's first. */
  opens?: string;
  /** The letter that opens its form in the terminal's review; null: it has none there. */
  letter: string | null;
  /** Whether it stands in the page's list of changes. */
  isListed: boolean;
  /** Whether a fresh plan follows from it. */
  isPlanned: boolean;
  /** Its form begins with what stands: kept unchanged it would do nothing. */
  beginsAsItStands?: true;
  /** Its fields; `kind` is its own name. */
  schema: S;
  /** Options that stand for values of several fields, such as taking everything back. */
  presets?: readonly { option: string; values: Readonly<Record<string, unknown>> }[];
  begin?(facts: FormFacts): FormStart;
  /** What stands of it now, for a command that is given alone. */
  standing?(context: ActionContext): Told[];
  /** @throws ActionRefused that names the option at fault. */
  apply(context: ActionContext, input: z.infer<S>, who: string): Action;
}

/** Keeps the types of a description. */
export function describeAction<const K extends string, S extends z.ZodObject>(
  spec: ActionSpec<K, S>,
): ActionSpec<K, S> {
  return spec;
}
