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

export interface Choice {
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
