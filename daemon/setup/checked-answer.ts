import type { z } from 'zod';
import { check } from '../config/issue-problems.ts';
import type { Question } from './question.ts';
import type { Talk } from './talk.ts';
import { typedNumber } from './typed-number.ts';

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
    { value: 'yes', words: 'yes' },
    { value: 'no', words: 'no' },
  ];
  return (await talk.ask({ kind: 'choice', ask, choices, preset })) === 'yes';
}

export function textQuestion(
  { ask, preset }: { ask: string; preset?: string | undefined },
  wrong: (text: string) => string | null,
): Question {
  return { kind: 'text', ask, wrong, ...(preset === undefined ? {} : { preset }) };
}
