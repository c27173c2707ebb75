import { IntlMessageFormat } from 'intl-messageformat';
import type { Language } from '../../adapters/contract.ts';
import { EN, type MessageKey, type Messages } from './en.ts';
import { ES } from './es.ts';

const MESSAGES: Readonly<Record<Language, Messages>> = { en: EN, es: ES };

/** What may stand in a message; numbers choose between one and many, and are written without grouping. */
export type MessageValues = Readonly<Record<string, string | number>>;

/** Puts a message into words. */
export type Say = (key: MessageKey, values?: MessageValues) => string;

/** Parsed messages by language and key: a plan says the same few of them thousands of times. */
const parsed = new Map<string, IntlMessageFormat>();

/** The messages of a language. */
export function sayIn(language: Language): Say {
  // Whatever asks for a card may be older than its language: the card of a stop is written all the same.
  const messages: Messages = MESSAGES[language] ?? EN;
  return (key, values = {}) => {
    const name = `${language} ${key}`;
    const known = parsed.get(name);
    const message =
      known ?? new IntlMessageFormat(messages[key], language, undefined, { ignoreTag: true });
    if (known === undefined) parsed.set(name, message);
    try {
      return String(message.format({ ...values }));
    } catch {
      // A value that is missing is a fault of ours, and no reason for a screen or a card to fail.
      return messages[key];
    }
  };
}

/** Whether there is a message of a name that was put together. */
export function isMessage(key: string): key is MessageKey {
  return Object.hasOwn(EN, key);
}
