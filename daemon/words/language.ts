import type { Language } from '../../adapters/contract.ts';
import { EN, type MessageKey } from './en.ts';
import { ES } from './es.ts';
import { type SayOf, sayOf } from './message.ts';

export type { MessageValues } from './message.ts';

/** Puts a message into words. */
export type Say = SayOf<MessageKey>;

const SAY: Readonly<Record<Language, Say>> = { en: sayOf(EN, 'en'), es: sayOf(ES, 'es') };

/** The messages of a language. */
export function sayIn(language: Language): Say {
  // Whatever asks for a card may be older than its language: the card of a stop is written all the same.
  return SAY[language] ?? SAY.en;
}

/** Whether there is a message of a name that was put together. */
export function isMessage(key: string): key is MessageKey {
  return Object.hasOwn(EN, key);
}
