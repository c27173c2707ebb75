/** A key as the review knows it. */
export type Key =
  | { name: 'letter'; letter: string }
  /** Text that was pasted: it types, and commands nothing. */
  | { name: 'pasted'; text: string }
  | { name: NamedKey };

export type NamedKey =
  | 'up'
  | 'down'
  | 'left'
  | 'right'
  | 'home'
  | 'end'
  | 'page_up'
  | 'page_down'
  | 'enter'
  | 'escape'
  | 'backspace'
  | 'tab'
  | 'back_tab'
  | 'ctrl_c'
  | 'ctrl_l';

const ESC = '\x1b';
const PASTE_START = `${ESC}[200~`;
const PASTE_END = `${ESC}[201~`;

/** What terminals after ECMA-48 and the VT100 send for keys that are no letters. */
const SEQUENCES: Readonly<Record<string, NamedKey>> = {
  '[A': 'up',
  OA: 'up',
  '[B': 'down',
  OB: 'down',
  '[C': 'right',
  OC: 'right',
  '[D': 'left',
  OD: 'left',
  '[H': 'home',
  OH: 'home',
  '[1~': 'home',
  '[F': 'end',
  OF: 'end',
  '[4~': 'end',
  '[5~': 'page_up',
  '[6~': 'page_down',
  '[Z': 'back_tab',
};

const CONTROLS: Readonly<Record<string, NamedKey>> = {
  '\r': 'enter',
  '\n': 'enter',
  '\t': 'tab',
  '\x7f': 'backspace',
  '\b': 'backspace',
  '\x03': 'ctrl_c',
  '\x0c': 'ctrl_l',
};

/**
 * The keys in what a terminal has sent, and the rest that may go on in the next piece. A lone escape
 * is such a rest: `isLast` takes it for the key.
 */
export function readKeys(sent: string, isLast: boolean): { keys: Key[]; rest: string } {
  const keys: Key[] = [];
  let text = sent;
  while (text !== '') {
    if (text.startsWith(PASTE_START)) {
      const end = text.indexOf(PASTE_END);
      if (end === -1 && !isLast) return { keys, rest: text };
      const pasted = text.slice(PASTE_START.length, end === -1 ? undefined : end);
      keys.push({ name: 'pasted', text: pasted.replace(/\p{Cc}+/gu, ' ') });
      text = end === -1 ? '' : text.slice(end + PASTE_END.length);
      continue;
    }
    if (text.startsWith(ESC)) {
      const whole = /^(\[[0-?]*[ -/]*[@-~]|O[ -~])/.exec(text.slice(1));
      if (whole !== null) {
        const name = SEQUENCES[whole[1] ?? ''];
        if (name !== undefined) keys.push({ name });
        text = text.slice(1 + whole[0].length);
        continue;
      }
      const mayGoOn = /^(\[[0-?]*[ -/]*|O)?$/.test(text.slice(1));
      if (mayGoOn && !isLast) return { keys, rest: text };
      keys.push({ name: 'escape' });
      text = mayGoOn ? '' : text.slice(1);
      continue;
    }
    const letter = String.fromCodePoint(text.codePointAt(0) ?? 0);
    const named = CONTROLS[letter];
    if (named !== undefined) keys.push({ name: named });
    else if (!/\p{Cc}/u.test(letter)) keys.push({ name: 'letter', letter });
    text = text.slice(letter.length);
  }
  return { keys, rest: '' };
}
