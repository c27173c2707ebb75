import { IntlMessageFormat } from 'intl-messageformat';
import type { ComponentChild } from 'preact';
import type { Language as Known } from '../../../../adapters/contract.ts';
import { PAGE as EN } from '../../../words/en/page.ts';
import { PAGE_SETUP as EN_SETUP } from '../../../words/en/page-setup.ts';
import { PAGE as ES } from '../../../words/es/page.ts';
import { PAGE_SETUP as ES_SETUP } from '../../../words/es/page-setup.ts';

/** A message that the page writes itself. */
export type PageKey = keyof typeof EN | keyof typeof EN_SETUP;

const MESSAGES = {
  en: { ...EN, ...EN_SETUP },
  es: { ...ES, ...ES_SETUP },
} as const satisfies Record<Known, Readonly<Record<PageKey, string>>>;

/** A language that the page speaks. */
export type Language = keyof typeof MESSAGES;

/** Each language by its own name. */
export const LANGUAGES: Readonly<Record<Language, string>> = { en: 'English', es: 'Español' };

/** Names of days and months as they are written in North America. */
export const LOCALES: Readonly<Record<Language, string>> = { en: 'en-US', es: 'es-US' };

export function isLanguage(text: string): text is Language {
  return Object.hasOwn(MESSAGES, text);
}

let spoken: Language = 'en';

/** The language that the page speaks now; what the daemon is asked is asked for in it. */
export function language(): Language {
  return spoken;
}

/** From now on the page speaks so; what is drawn already has to be drawn anew. */
export function speak(next: Language): void {
  spoken = next;
}

type Values<T> = Readonly<Record<string, T>>;

/** Parsed messages by language and key. */
const parsed = new Map<string, IntlMessageFormat>();

function format<T>(key: PageKey, values: Values<string | number | T>) {
  const name = `${spoken} ${key}`;
  const known = parsed.get(name);
  const message =
    known ?? new IntlMessageFormat(MESSAGES[spoken][key], spoken, undefined, { ignoreTag: true });
  if (known === undefined) parsed.set(name, message);
  return message.format<T>({ ...values });
}

/** A message of the page in words; numbers choose between one and many. */
export function say(key: PageKey, values: Values<string | number> = {}): string {
  return String(format(key, values));
}

/** A message with parts that are more than text: a command, a time that stands out. */
export function sayWith(key: PageKey, values: Values<ComponentChild>): ComponentChild[] {
  const told = format<ComponentChild>(key, values as Values<string | number | ComponentChild>);
  return Array.isArray(told) ? told : [told as ComponentChild];
}

/** Whether there is a message of a name that was put together. */
export function isPageKey(key: string): key is PageKey {
  return Object.hasOwn(MESSAGES.en, key);
}
