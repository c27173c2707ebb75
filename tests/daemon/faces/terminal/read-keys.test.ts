import { describe, expect, it } from 'vitest';
import { readKeys } from '../../../../daemon/faces/terminal/read-keys.ts';

const named = (...names: string[]) => names.map((name) => ({ name }));
const letters = (text: string) => [...text].map((letter) => ({ name: 'letter', letter }));

describe('keys of a terminal', () => {
  it.each([
    ['arrows', '\x1b[A\x1b[B\x1b[C\x1b[D', named('up', 'down', 'right', 'left')],
    ['arrows in application mode', '\x1bOA\x1bOB', named('up', 'down')],
    [
      'paging',
      '\x1b[5~\x1b[6~\x1b[H\x1b[F\x1b[Z',
      named('page_up', 'page_down', 'home', 'end', 'back_tab'),
    ],
    ['controls', '\r\t\x7f\x03', named('enter', 'tab', 'backspace', 'ctrl_c')],
    ['letters beyond ASCII', 'ä€𝄞', letters('ä€𝄞')],
    ['an escape right before a letter', '\x1bq', [...named('escape'), ...letters('q')]],
    ['a sequence that nobody knows', '\x1b[200;7u!', letters('!')],
    ['a paste', '\x1b[200~y\ny\x1b[201~q', [{ name: 'pasted', text: 'y y' }, ...letters('q')]],
  ])('knows %s', (_, sent, keys) => {
    expect(readKeys(sent, false)).toEqual({ keys, rest: '' });
  });

  it.each(['\x1b', '\x1b[', '\x1b[1', '\x1bO', '\x1b[200~half a paste'])(
    'waits for the rest of %j, and takes it for what it is when none comes',
    (sent) => {
      expect(readKeys(sent, false)).toEqual({ keys: [], rest: sent });
      expect(readKeys(sent, true)).toMatchObject({ keys: [{}], rest: '' });
    },
  );
});
