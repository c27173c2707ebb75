import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { EN } from '../../../daemon/words/en.ts';
import { actingAt, answerActingAt, SAME_ACTIONS } from '../../../daemon/words/where-to-act.ts';

const DAEMON = fileURLToPath(new URL('../../../daemon/', import.meta.url));

/** Where texts come from that the page shows too. */
const SOURCES = [
  'actions',
  'site/gate',
  'planning',
  'words',
  'service/jobs',
  'delivery',
  'faces/web/views',
];

/** What only a command line says, which speaks of its commands as they are. */
const COMMAND_LINE = ['next-command.ts', 'command-line.ts', 'study-commands.ts'];

/** Commands that only a terminal has: the page names them as such. */
const TERMINAL_ALONE = [
  'dewbeat meter',
  'dewbeat correct',
  'dewbeat look --undo',
  'dewbeat init',
  'dewbeat look',
  'dewbeat rotation',
];

const filesOf = (folder: string): string[] =>
  readdirSync(join(DAEMON, folder), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts') && !COMMAND_LINE.includes(name))
    .map((name) => join(DAEMON, folder, name));

/** The lines of a source that are code. */
const code = (file: string) =>
  readFileSync(file, 'utf8')
    .split('\n')
    .filter((line) => !/^\s*(\*|\/\/|\/\*)/.test(line));

describe('what a text tells a person to do', () => {
  it.each([
    ['page', 'make one with `dewbeat plan`', 'make one with “Change, Fresh plan”'],
    [
      'page',
      'To water: `dewbeat plan --lift`.',
      'To water: “Change, Fresh plan, Water them again”.',
    ],
    ['page', '(`dewbeat keep-off --end 3 --who NAME`)', '(“Change, Keep-off, It is over”)'],
    [
      'page',
      'see `dewbeat keep-off`, then `dewbeat plan`',
      'see “Change, Keep-off”, then “Change, Fresh plan”',
    ],
    ['page', '`dewbeat meter` lists them', '`dewbeat meter` in a terminal lists them'],
    ['page', 'a `planner` at dewbeat plan', 'a `planner` at dewbeat plan'],
    ['page', '`dewbeat planned`', '`dewbeat planned` in a terminal'],
    ['review', 'make one with `dewbeat plan`', 'make one with `p`'],
  ] as const)('at the %s: %s', (place, text, said) => {
    expect(actingAt(place, text)).toBe(said);
  });

  it('is put so in every text of an answer and nowhere else', () => {
    const answer = {
      lines: ['See `dewbeat ran`.'],
      beds: [{ notes: ['`dewbeat stage`'], storeMm: [0.5, 0.25], held: false, untilMs: null }],
    };
    expect(answerActingAt('page', answer)).toEqual({
      lines: ['See “Day line”.'],
      beds: [{ notes: ['“Change, Stage”'], storeMm: [0.5, 0.25], held: false, untilMs: null }],
    });
  });

  it('names what stands on the page', () => {
    const page = readdirSync(join(DAEMON, 'faces/web/page'))
      .filter((name) => name.endsWith('.tsx'))
      .map((name) => readFileSync(join(DAEMON, 'faces/web/page', name), 'utf8'))
      .concat(Object.values(EN))
      .join('\n');
    for (const { page: place } of SAME_ACTIONS) {
      for (const name of place.replace(/[“”]/g, '').split(', '))
        expect(page, place).toContain(name);
    }
  });

  it('is known for every command that a text names, and each stands between backticks', () => {
    const lines = SOURCES.flatMap(filesOf)
      .filter((file) => !file.endsWith('where-to-act.ts'))
      .flatMap(code);
    const named = lines.flatMap((line) =>
      [...line.matchAll(/\\?`((?:dewbeat |--)[^`\\]*)\\?`/g)].map(([, one = '']) => one.trim()),
    );
    expect(named.length).toBeGreaterThan(10);
    const known = [...SAME_ACTIONS.map(({ command }) => command), ...TERMINAL_ALONE];
    const isKnown = (one: string) =>
      known.some((command) => one === command || one.startsWith(`${command} `));
    expect(named.filter((one) => !isKnown(one))).toEqual([]);
    // A command without backticks would reach the page as it is.
    expect(
      lines.filter((line) => /(?<![`\w])dewbeat (plan|show|ran|keep-off|stage|water)\b/.test(line)),
    ).toEqual([]);
  });

  it('takes the longer of two commands that begin alike', () => {
    const commands = SAME_ACTIONS.map(({ command }) => command);
    for (const [at, command] of commands.entries()) {
      expect(commands.slice(0, at).some((earlier) => command.startsWith(`${earlier} `))).toBe(
        false,
      );
    }
  });
});
