import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { parse, TYPE } from '@formatjs/icu-messageformat-parser';
import { describe, expect, it } from 'vitest';
import { LANGUAGES } from '../../../adapters/contract.ts';
import { ACTIONS } from '../../../daemon/actions/list.ts';
import { EN, type MessageKey, type Messages } from '../../../daemon/words/en.ts';
import { ES } from '../../../daemon/words/es.ts';
import { type Place, sayIn } from '../../../daemon/words/language.ts';

const DAEMON = fileURLToPath(new URL('../../../daemon/', import.meta.url));

/** Where texts come from that the page shows too. */
const SOURCES = [
  'actions',
  'site/gate',
  'planning',
  'words',
  'service/jobs',
  'service/needs.ts',
  'delivery',
  'faces/web/views',
];

/** What only a command line says, which speaks of its commands as they are. */
const COMMAND_LINE = ['next-command.ts', 'command-line.ts', 'study-commands.ts'];

const PLACES: readonly Place[] = ['command', 'page', 'review', 'anywhere'];
const BY_LANGUAGE: Readonly<Record<(typeof LANGUAGES)[number], Messages>> = { en: EN, es: ES };
const KEYS = Object.keys(EN) as MessageKey[];
const DOINGS = KEYS.filter((key) => key.startsWith('do.'));

/** Every text that a message can say, its choices taken one by one. */
function textsOf(message: string): string[] {
  const look = (elements: ReturnType<typeof parse>): string[] => {
    const own = elements
      .map((one) =>
        one.type === TYPE.literal ? one.value : `{${'value' in one ? one.value : ''}}`,
      )
      .join('');
    const inner = elements.flatMap((one) =>
      'options' in one ? Object.values(one.options).flatMap(({ value }) => look(value)) : [],
    );
    return [own, ...inner];
  };
  return look(parse(message));
}

const filesOf = (place: string): string[] =>
  place.endsWith('.ts')
    ? [join(DAEMON, place)]
    : readdirSync(join(DAEMON, place), { recursive: true, encoding: 'utf8' })
        .filter((name) => name.endsWith('.ts') && !COMMAND_LINE.includes(name))
        .filter((name) => !/^e[ns]\/|^setup\//.test(name))
        .map((name) => join(DAEMON, place, name));

/** The lines of a source that are code. */
const code = (file: string) =>
  readFileSync(file, 'utf8')
    .split('\n')
    .filter((line) => !/^\s*(\*|\/\/|\/\*)/.test(line));

describe('what a text tells a person to do', () => {
  it.each([
    ['command', 'en', 'there is no plan yet; make one with `dewbeat plan`'],
    ['page', 'en', 'there is no plan yet; make one with “Change, Fresh plan”'],
    ['review', 'en', 'there is no plan yet; make one with `p`'],
    ['anywhere', 'en', 'there is no plan yet; make one with “Fresh plan”'],
    ['page', 'es', 'todavía no hay plan; haga uno con “Cambiar, Plan nuevo”'],
  ] as const)('at the %s, in %s', (place, language, said) => {
    expect(sayIn(language, place)('confirm_refused.no_plan')).toBe(said);
  });

  it('is said for every place in every language, by the name of its act', () => {
    for (const language of LANGUAGES) {
      for (const place of PLACES) {
        const say = sayIn(language, place);
        for (const key of DOINGS) expect(say(key), key).not.toBe('');
        expect(say('warning.field_fault', { bed: 'b', faults: 'f', more: 0 })).not.toMatch(/[{}]/);
      }
    }
    expect(sayIn('en', 'page')('refused.no_keep_off', { got: 3 })).toContain('“Change, Keep-off”');
  });

  it('has a message for everything that is named', () => {
    const named = LANGUAGES.flatMap((language) =>
      KEYS.flatMap((key) => textsOf(BY_LANGUAGE[language][key])),
    ).flatMap((text) => [...text.matchAll(/\{do_(\w+)\}/g)].map(([, name]) => `do.${name}`));
    expect(named.length).toBeGreaterThan(20);
    expect(named.filter((name) => !DOINGS.includes(name as MessageKey))).toEqual([]);
  });

  it('names no command by itself but where only the command line says it', () => {
    // What an operator of the machine does, and a command that is chosen by the place already.
    const operators = [
      'need.daemon_away',
      'keep_off.until_ended',
      'confirm_refused.cautions_missing',
      // In a package's own README, for whoever holds it.
      'reports.package.manifest',
    ];
    const naming = LANGUAGES.flatMap((language) =>
      KEYS.filter((key) => /`(dewbeat |--)/.test(BY_LANGUAGE[language][key])),
    ).filter((key) => !key.startsWith('do.') && !key.startsWith('command.'));
    expect([...new Set(naming)].filter((key) => !operators.includes(key))).toEqual([]);
    // Nor does code: a command in it would reach the page as it is.
    const lines = SOURCES.flatMap(filesOf).flatMap(code);
    expect(lines.length).toBeGreaterThan(1000);
    expect(lines.filter((line) => /\bdewbeat [a-z]/.test(line))).toEqual([]);
  });

  it('names what stands on the page, and keys that open the form of the same act', () => {
    const page = readdirSync(join(DAEMON, 'faces/web/page'))
      .filter((name) => name.endsWith('.tsx'))
      .map((name) => readFileSync(join(DAEMON, 'faces/web/page', name), 'utf8'))
      .concat(KEYS.filter((key) => !key.startsWith('do.')).map((key) => EN[key]))
      .join('\n');
    for (const key of DOINGS) {
      const quoted = /^“(.*)”$/.exec(sayIn('en', 'page')(key));
      for (const name of quoted?.[1]?.split(', ') ?? []) {
        expect(page, key).toContain(name);
      }
    }
    const keyOf = (kind: string) => ACTIONS.find((one) => one.kind === kind)?.letter;
    for (const [key, kind] of [
      ['do.plan', 'replan'],
      ['do.release', 'release'],
      ['do.keep_off', 'keep_off'],
      ['do.end_keep_off', 'end_keep_off'],
      ['do.stage', 'stage'],
      ['do.water', 'water'],
    ] as const) {
      expect(sayIn('en', 'review')(key)).toBe(`\`${keyOf(kind)}\``);
    }
  });
});
