import { parse, TYPE } from '@formatjs/icu-messageformat-parser';
import { describe, expect, it } from 'vitest';
import { LANGUAGES } from '../../../adapters/contract.ts';
import { EN, type MessageKey } from '../../../daemon/words/en.ts';
import { ES } from '../../../daemon/words/es.ts';
import { isMessage, sayIn } from '../../../daemon/words/language.ts';

/** Names of the values that a message takes. */
function valuesOf(message: string): string[] {
  const names = new Set<string>();
  const look = (elements: ReturnType<typeof parse>): void => {
    for (const element of elements) {
      if (element.type === TYPE.literal || element.type === TYPE.pound) continue;
      names.add(element.value);
      if ('options' in element) {
        for (const option of Object.values(element.options)) look(option.value);
      }
    }
  };
  look(parse(message));
  return [...names].sort();
}

const KEYS = Object.keys(EN) as MessageKey[];

describe('the messages of a language', () => {
  it('are the same in every language, and none is empty', () => {
    expect(LANGUAGES).toEqual(['en', 'es']);
    expect(Object.keys(ES).sort()).toEqual([...KEYS].sort());
    for (const key of KEYS) expect(ES[key].trim(), key).not.toBe('');
  });

  it('take the same values in every language', () => {
    const differing = KEYS.filter(
      (key) => JSON.stringify(valuesOf(ES[key])) !== JSON.stringify(valuesOf(EN[key])),
    );
    expect(differing).toEqual([]);
  });

  it('are put together with their values, one or many of a thing told apart', () => {
    const question = (language: 'en' | 'es', beds: number) =>
      sayIn(language)('wind.question', { from: '11:00', to: '13:00', beds });
    expect(question('en', 1)).toContain('while 1 bed needs water');
    expect(question('en', 3)).toContain('while 3 beds need water');
    expect(question('es', 1)).toContain('mientras 1 área necesita agua');
    expect(question('es', 3)).toContain('mientras 3 áreas necesitan agua');
  });

  it('are given as they are written where a value is missing, and never fail', () => {
    expect(sayIn('en')('reason.rested_first')).toContain('{minutes}');
    expect(isMessage('reason.rested_first')).toBe(true);
    expect(isMessage('toString')).toBe(false);
  });
});
