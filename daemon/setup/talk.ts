import { BACK, type Prompt, type Question } from './question.ts';

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
  return `is none of the choices (got ${text}); write one of ${values.join(', ')}`;
}
