import { LANGUAGES, type Language } from '../../adapters/contract.ts';
import { EN, type MessageKey } from './en.ts';
import { ES } from './es.ts';
import { type MessageValues, type SayOf, sayOf } from './message.ts';

/**
 * Where a person acts: at a command line, on the page, or by a key in the terminal's review; `anywhere`: what
 * is kept or sent is read who knows where, so that acts go by their names alone.
 */
export type Place = 'command' | 'page' | 'review' | 'anywhere';

export type { MessageValues } from './message.ts';

/** A message that somebody else is to put into words. */
export interface Message {
  key: MessageKey;
  values?: MessageValues;
}

/** Puts a message into words. */
export type Say = SayOf<MessageKey>;

const PLAIN: Readonly<Record<Language, Say>> = { en: sayOf(EN, 'en'), es: sayOf(ES, 'es') };

const sayers = new Map<string, Say>();

/**
 * The messages of a language, for a person who acts at a place. Beside its own values a message may take
 * `place`, and `do_NAME`: what the message `do.NAME` tells that person to tap, press or type.
 */
export function sayIn(language: Language, place: Place = 'command'): Say {
  const name = `${language} ${place}`;
  const known = sayers.get(name);
  if (known !== undefined) return known;
  const plain = sayPlainly(language);
  const acts = valuesNamed('act.', (key) => plain(key));
  const doings = valuesNamed('do.', (key) => plain(key, { ...acts, place }));
  const shared = { ...acts, ...doings, place };
  // What every message may take stands behind its own values and is not copied for each.
  const say: Say = (key, values) => plain(key, Object.assign(Object.create(shared), values));
  sayers.set(name, say);
  return say;
}

/** Messages whose name is a beginning and one word more, as values for others: `act.stage` is `act_stage`. */
function valuesNamed(begin: string, say: (key: MessageKey) => string): MessageValues {
  const names = Object.keys(EN).filter((key) => key.startsWith(begin));
  const own = names.filter((key) => !key.slice(begin.length).includes('.'));
  return Object.fromEntries(own.map((key) => [key.replace('.', '_'), say(key as MessageKey)]));
}

function sayPlainly(language: Language): Say {
  // Whatever asks for a card may be older than its language: the card of a stop is written all the same.
  return PLAIN[language] ?? PLAIN.en;
}

/** Says a message, or what is words already. */
export function sayMessage(told: Message | string, say: Say): string {
  return typeof told === 'string' ? told : say(told.key, told.values);
}

/** Whether there is a message of a name that was put together. */
export function isMessage(key: string): key is MessageKey {
  return Object.hasOwn(EN, key);
}

/** The message of a name that was put together; null where there is none. */
export function sayNamed(say: Say, key: string, values?: MessageValues): string | null {
  return isMessage(key) ? say(key, values) : null;
}

/** The language of that name; English where there is none. */
export function languageNamed(name: unknown): Language {
  return LANGUAGES.find((one) => one === name) ?? 'en';
}
