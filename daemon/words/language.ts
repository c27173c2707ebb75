import { IntlMessageFormat } from 'intl-messageformat';
import { EN } from './en.ts';

/** What a message is found by; every language has all of them. */
export type MessageKey = keyof typeof EN;

/** A language's messages. */
export type Messages = Readonly<Record<MessageKey, string>>;

const LANGUAGES = { en: EN } as const satisfies Readonly<Record<string, Messages>>;

export type Language = keyof typeof LANGUAGES;

export const LANGUAGE_CODES = Object.keys(LANGUAGES) as Language[];

/** What may stand in a message; numbers choose between one and many, and are written without grouping. */
export type MessageValues = Readonly<Record<string, string | number>>;

/** Puts a message into words. */
export type Say = (key: MessageKey, values?: MessageValues) => string;

/** Parsed messages by language and key: a plan says the same few of them thousands of times. */
const parsed = new Map<string, IntlMessageFormat>();

/** The messages of a language. */
export function sayIn(language: Language): Say {
  const messages: Messages = LANGUAGES[language];
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
