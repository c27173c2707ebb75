import { IntlMessageFormat } from 'intl-messageformat';

/** What may stand in a message; numbers choose between one and many, and are written without grouping. */
export type MessageValues = Readonly<Record<string, string | number>>;

/** Puts a message of one constant into words. */
export type SayOf<Key extends string> = (key: Key, values?: MessageValues) => string;

/**
 * Says the messages of a constant, in the ICU message format. A value that is missing is a fault of
 * ours, and no reason for a screen or a card to fail: the message stands as it is then.
 *
 * @param language BCP 47, for plurals and numbers.
 */
export function sayOf<Key extends string>(
  messages: Readonly<Record<Key, string>>,
  language: string,
): SayOf<Key> {
  /** Messages by key as they are said: a plan says the same few of them thousands of times. */
  const known = new Map<Key, (values: MessageValues) => string>();
  return (key, values = {}) => {
    const text = messages[key];
    const say = known.get(key) ?? sayer(text, language);
    known.set(key, say);
    try {
      return say(values);
    } catch {
      return text;
    }
  };
}

/** A message without plural, select or quoting: words with values between them. */
const BARE = /^(?:[^{}']|'(?!['{}])|\{\w+\})*$/;

/**
 * Says one message. Most are words with values between them; for them the parser and the locale data
 * of the whole format are not asked for, which at a command line take longer than all else.
 */
function sayer(text: string, language: string): (values: MessageValues) => string {
  if (!BARE.test(text)) {
    const message = new IntlMessageFormat(text, language, undefined, { ignoreTag: true });
    return (values) => String(message.format(values));
  }
  // Words stand at even places, names of values at odd ones.
  const parts = text.split(/\{(\w+)\}/);
  return (values) =>
    parts.map((part, index) => (index % 2 === 0 ? part : bare(values[part], part))).join('');
}

function bare(value: string | number | undefined, name: string): string {
  if (value === undefined) throw new RangeError(`${name}: has no value`);
  return String(value);
}
