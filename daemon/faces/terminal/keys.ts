import { sayInTerminal, type TerminalKey } from '../../words/terminal.ts';

/** A key and what it does, by its name. */
type KeyName = Extract<TerminalKey, `key.${string}`> extends `key.${infer Name}` ? Name : never;

/** What stands at the bottom of a screen: keys and what they do. */
export function keysOf(...names: readonly KeyName[]): string[] {
  return names.map((name) => sayInTerminal(`key.${name}`));
}
