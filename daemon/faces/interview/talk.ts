import type { z } from 'zod';
import { typedNumber } from '../../actions/setup/typed-values.ts';
import { check } from '../../site/config/issue-problems.ts';
import { sayInInterview as say } from '../../words/interview.ts';

/** One question to a person. Every answer is text; an empty one takes the preset. */
export type Question =
  | {
      kind: 'text' | 'secret' | 'table';
      ask: string;
      preset?: string;
      /** What is wrong with an answer, or null. */
      wrong?(text: string): string | null;
    }
  | { kind: 'choice'; ask: string; choices: readonly Choice[]; preset?: string };

interface Choice {
  value: string;
  words: string;
}

/** The answer that goes one question back. */
export const BACK = '<';

/** Asks one question at a terminal, or gives a scripted answer. */
export type Prompt = (question: Question) => Promise<string>;

/** The person has had enough: nothing was written. */
export class SetupAborted extends Error {
  override name = 'SetupAborted';
}

/** What an interview does: asks, works something out, tells. */
export interface Talk {
  ask(question: Question): Promise<string>;
  /** Does something slow or outside; its result is remembered when the person goes back. */
  once<T>(work: () => T | Promise<T>): Promise<T>;
  tell(text: string): void;
}

type Known = { kind: 'answer'; text: string } | { kind: 'work'; value: unknown };

class WentBack extends Error {
  override name = 'WentBack';
}

/**
 * Runs an interview in which the person can go back at any question. Going back forgets the last
 * answer and runs the interview again from its begin, with the answers that stand.
 */
export async function withBack<T>(
  interview: (talk: Talk) => Promise<T>,
  world: { prompt: Prompt; tell(text: string): void },
): Promise<T> {
  const known: Known[] = [];
  for (;;) {
    try {
      return await interview(talkOver(known, world));
    } catch (error) {
      if (!(error instanceof WentBack)) throw error;
      while (known.at(-1)?.kind === 'work') known.pop();
      known.pop();
    }
  }
}

function talkOver(
  known: Known[],
  { prompt, tell }: { prompt: Prompt; tell(text: string): void },
): Talk {
  let at = 0;
  const next = (): Known | undefined => {
    const found = known[at];
    if (found !== undefined) at += 1;
    return found;
  };
  return {
    async ask(question) {
      const before = next();
      if (before?.kind === 'answer') return before.text;
      for (;;) {
        const typed = await prompt(question);
        if (typed.trim() === BACK) throw new WentBack();
        const text = typed.trim() === '' ? (question.preset ?? '') : typed;
        const wrong = wrongWith(question, text);
        if (wrong === null) {
          known.push({ kind: 'answer', text });
          at += 1;
          return text;
        }
        tell(`  ${wrong}`);
      }
    },
    async once<T>(work: () => T | Promise<T>): Promise<T> {
      const before = next();
      if (before?.kind === 'work') return before.value as T;
      const value = await work();
      known.push({ kind: 'work', value });
      at += 1;
      return value;
    },
    tell(text) {
      // What was told before the last answer was read already.
      if (at >= known.length) tell(text);
    },
  };
}

function wrongWith(question: Question, text: string): string | null {
  if (question.kind !== 'choice') return question.wrong?.(text) ?? null;
  const values = question.choices.map(({ value }) => value);
  if (values.includes(text)) return null;
  return say('answer.none_of', { got: text, choices: values.join(', ') });
}

/** What the config says of a value: the same words here as in `dewbeat check`. */
export function wrongBy(schema: z.ZodType): (raw: unknown) => string | null {
  return (raw) => {
    const checked = check(schema, raw);
    return checked.ok ? null : checked.findings.map(({ message }) => message).join('; ');
  };
}

/** Asks for text that a schema of the config takes. */
export function askText(
  talk: Talk,
  question: { ask: string; preset?: string | undefined; schema: z.ZodType },
): Promise<string> {
  return talk.ask(textQuestion(question, wrongBy(question.schema)));
}

/** Asks for a quantity with its unit; a decimal comma is taken too. */
export async function askQuantity(
  talk: Talk,
  question: { ask: string; preset?: string | undefined; schema: z.ZodType },
): Promise<string> {
  const wrong = wrongBy(question.schema);
  const text = await talk.ask(
    textQuestion(question, (typed) => {
      const number = typedNumber(typed);
      return number.ok ? wrong(number.text) : number.message;
    }),
  );
  const number = typedNumber(text);
  return number.ok ? number.text : text;
}

export async function askYesNo(talk: Talk, ask: string, preset: 'yes' | 'no'): Promise<boolean> {
  const choices = [
    { value: 'yes', words: say('answer.yes') },
    { value: 'no', words: say('answer.no') },
  ];
  return (await talk.ask({ kind: 'choice', ask, choices, preset })) === 'yes';
}

export function textQuestion(
  { ask, preset }: { ask: string; preset?: string | undefined },
  wrong: (text: string) => string | null,
): Question {
  return { kind: 'text', ask, wrong, ...(preset === undefined ? {} : { preset }) };
}
