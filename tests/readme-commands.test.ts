import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { epwYear } from './adapters/weather/typical-year.ts';
import { dewbeat, type Said } from './daemon/command-line.ts';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const guide = readFileSync(join(ROOT, 'daemon', 'README.md'), 'utf8');
/** Every document that gives commands to a person. */
const TEXTS = ['README.md', 'daemon/README.md', 'adapters/README.md', 'config-examples/README.md']
  .map((path) => readFileSync(join(ROOT, path), 'utf8'))
  .join('\n');

/** 05:10 and 13:40 at the demo's site: every time of day in the examples is past or ahead as meant. */
const MORNING_MS = Date.parse('2026-07-01T09:10:00Z');
const NOW_MS = Date.parse('2026-07-01T17:40:00Z');

const COMMANDS = guide.slice(guide.indexOf('## Commands'), guide.indexOf('## What you tell it'));

/** The guide's table of commands: name, and what its row and the rows of its options say. */
const ROWS: [string, string][] = [...COMMANDS.matchAll(/^\| `([a-z-]+)` \| (.*) \|$/gm)].map(
  ([, name = '', says = '']) => {
    const options = COMMANDS.matchAll(new RegExp(`^\\| \`${name} (--.*) \\|$`, 'gm'));
    return [name, [says, ...[...options].map((match) => match[1] ?? '')].join(' ')];
  },
);

/** Commands that the documents' text gives with options; what stands in for a value is filled in. */
const IN_TEXT = [
  ...new Set(
    [...TEXTS.matchAll(/(?:`|^ +)(?:npx )?dewbeat ([a-z-]+ -[^`\n]*)/gm)].map((match) =>
      (match[1] ?? '')
        .replace(/\bID\b/, '1')
        .replace('--who ...', '--who "A. Keeper"')
        .replace(/-c \S+/, '-c greens.yaml')
        .replace(/\/var\/backups\/dewbeat-\$\(date \+%F\)/, 'nightly')
        .replace('FOLDER', 'hand-over-again')
        .replace('FILE', 'again.sqlite'),
    ),
  ),
];

/** What does not end well on this site, with its exit code and the reason that the person is told. */
const REFUSED: Readonly<Record<string, [1 | 2, RegExp]>> = {
  // Without options.
  init: [2, /asks at a terminal .*give answers by --from/],
  // There is no site here but the demo, and that is stopped only when it is asked for.
  'stop-water': [2, /NOTHING WAS STOPPED/],
  confirm: [2, /required option '--revision <n>' not specified/],
  water: [2, /water: says nothing/],
  rotation: [2, /rotation: says nothing/],
  feed: [2, /feed: says nothing/],
  status: [1, /plan_held|needs a person|waits/i],
  pin: [2, /asks at a terminal/],
  'hand-over': [2, /--to/],
  correct: [2, /required option '--what <kind>' not specified/],
  backup: [2, /--to/],
  replay: [2, /required option '--from <day>' not specified/],
  prospect: [2, /required option '--dates <days>' not specified/],
  // Examples of the help.
  'keep-off --end 2 --who "A. Keeper" --preview': [2, /--end: no such keep-off/],
  'keep-off --end 2 --who "A. Keeper"': [2, /--end: no such keep-off/],
  'status --format json': [1, /"needs"/],
  'confirm --revision 1 --digest 3f2a91bc --who "A. Keeper" --caution turf_clear no_injector_armed covers_off':
    [1, /not confirmed: plan 1 is not the newest/],
  // Of the documents' text.
  'confirm --revision 1 --digest 3511ddaf --who "A. Keeper" --caution turf_clear no_injector_armed covers_off':
    [1, /not confirmed: plan 1 is not the newest/],
};

/** An invented site. */
const ANSWERS = `
site: { name: Tern Flats (invented), position: "33.5, -42.1", elevation: 12 m, zone: Etc/GMT+3 }
units: metric
weather: { source: outlook, wind_height: 10 m, usual: [ { month: 7, high: 30 °C, low: 18 °C, wind: 3 m/s, rain: 0 mm } ] }
supply: { pump_flow: 900 L/min }
beds: |
  Green;Area (m²)
  Green 1;450
stations: |
  Valve;Green;Flow (L/min);Rate (mm/h)
  G1/1;Green 1;200;18
`;

let cwd: string;
beforeAll(async () => {
  cwd = mkdtempSync(join(tmpdir(), 'dewbeat-readme-'));
  const minimal = readFileSync(join(ROOT, 'config-examples', 'minimal.yaml'), 'utf8')
    .split('\n')
    // One bed: a year of two takes twice as long.
    .filter((line) => !/green-2/.test(line))
    .join('\n');
  writeFileSync(join(cwd, 'greens.yaml'), `${minimal}\npage: { port: 0 }\n`);
  writeFileSync(
    join(cwd, 'typical-year.epw'),
    epwYear((row) => ({ ...row, air: '24.0' })),
  );
  // A config of its own would end the demo's: the set-up has a folder to itself.
  mkdirSync(join(cwd, 'new'));
  writeFileSync(join(cwd, 'new', 'answers.yaml'), ANSWERS);
  await dewbeat(['plan'], { cwd, nowMs: MORNING_MS });
});
afterAll(() => rmSync(cwd, { recursive: true, force: true }));

function words(line: string): string[] {
  return [...line.trim().matchAll(/"([^"]*)"|(\S+)/g)].map((match) => match[1] ?? match[2] ?? '');
}

/** The commands stand in one site, one after the other, as a person would try them. */
const tried = new Set<string>();
async function mustRun(line: string): Promise<void> {
  if (tried.has(line)) return;
  tried.add(line);
  const said: Said = await dewbeat(words(line.replace(/ > \S+$/, '')), {
    cwd: line.startsWith('init') ? join(cwd, 'new') : cwd,
    nowMs: NOW_MS,
    // The daemon logs for programs unless a person sits there, who reads the first plan and goes.
    ...(line.startsWith('run') ? { answers: [], stopOnceSaid: 'The daemon stays up' } : {}),
  });
  const [code, text] = REFUSED[line] ?? [0, /./];
  expect({ line, ...said }).toMatchObject({ line, code });
  expect(said.out + said.err, line).toMatch(text);
}

describe('every command of the documents', () => {
  it('has a row', () => {
    expect(ROWS.length).toBeGreaterThan(25);
    expect(IN_TEXT.length).toBeGreaterThan(14);
  });

  it.each(ROWS)('%s runs, has every option of its row, and its examples run', async (name, row) => {
    const help = (await dewbeat([name, '--help'], { cwd, nowMs: NOW_MS })).out;
    for (const [option] of row.matchAll(/--[a-z-]+/g)) expect(help).toContain(`${option}`);
    await mustRun(name === 'run' ? 'run -c greens.yaml' : name);
    const examples = [...help.matchAll(/^ {2}\$ dewbeat (.*)$/gm)].map((match) => match[1] ?? '');
    expect(examples.length, 'examples').toBeGreaterThan(0);
    for (const example of examples) {
      expect(example).toMatch(new RegExp(`^${name}\\b`));
      await mustRun(example);
    }
  });

  it.each(IN_TEXT)('dewbeat %s', (line) => mustRun(line));

  it('is refused for a reason that still holds', () => {
    expect(Object.keys(REFUSED).filter((line) => !tried.has(line))).toEqual([]);
  });
});
