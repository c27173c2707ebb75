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
  /** Parsed messages by key: a plan says the same few of them thousands of times. */
  const parsed = new Map<Key, IntlMessageFormat>();
  return (key, values = {}) => {
    const text = messages[key];
    if (isPlain(text)) return text;
    const known = parsed.get(key);
    const message = known ?? new IntlMessageFormat(text, language, undefined, { ignoreTag: true });
    if (known === undefined) parsed.set(key, message);
    try {
      return String(message.format(values));
    } catch {
      return text;
    }
  };
}

/** Whether a message says the same whatever its values: it has neither arguments nor quoting. */
function isPlain(text: string): boolean {
  return !text.includes('{') && !text.includes("''");
}
