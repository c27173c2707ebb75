import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import type { RefusalCode } from '../../../daemon/gate/judge-confirm.ts';
import { refusalWords } from '../../../daemon/web/refusal-words.ts';

const gate = readFileSync(
  new URL('../../../daemon/gate/judge-confirm.ts', import.meta.url),
  'utf8',
);
/** Every code of the gate's refusals. */
const CODES = [
  ...(/export type RefusalCode =([\s\S]*?);/.exec(gate)?.[1] ?? '').matchAll(/'(\w+)'/g),
].map((match) => match[1] as RefusalCode);

describe('a refused confirm at the page', () => {
  it.each(CODES)('%s names no command', (code) => {
    const text = 'A. Keeper put on a hold (leak; north), after it; make one with `dewbeat plan`';
    const said = refusalWords({ code, text });
    const namesOne = ['name_missing', 'already_confirmed', 'cautions_missing'];
    if (namesOne.includes(code)) expect(said).toBe(text);
    else expect(said).toMatch(/^A\. Keeper put on a hold \(leak; north\), after it; [a-z ,]+$/);
  });

  it('leaves what names no command as it is', () => {
    const text = 'nobody has confirmed; tick what is missing';
    expect(refusalWords({ code: 'held_since', text })).toBe(text);
  });
});
