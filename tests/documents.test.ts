import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { NEWS_KINDS } from '../adapters/news.ts';
import { CHECK_RULES } from '../adapters/weather/source.ts';
import { NOTICE_CODES } from '../calc/growth/notice.ts';
import { WARNING_CODES } from '../calc/schedule/plan-warning.ts';
import { RUN_STATES } from '../daemon/field/run-state.ts';
import { NEED_CODES } from '../daemon/operations/needs.ts';
import { STEP_KINDS } from '../daemon/store/steps.ts';
import { VERSION } from '../daemon/version.ts';
import { API_ERROR_CODES } from '../daemon/web/api-error-codes.ts';
import { UNREADY_CODES } from '../daemon/web/readiness.ts';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const developers = readFileSync(join(ROOT, 'DEVELOPERS.md'), 'utf8');
const readme = readFileSync(join(ROOT, 'README.md'), 'utf8');

/** The lines under a heading, up to the next one. */
function section(heading: string): string {
  const from = developers.indexOf(`## ${heading}`);
  expect(from, heading).toBeGreaterThan(-1);
  const next = developers.indexOf('\n## ', from + 1);
  return developers.slice(from, next === -1 ? undefined : next);
}

function quoted(text: string): string[] {
  return [...text.matchAll(/`([^`]+)`/g)].map((match) => match[1] ?? '');
}

function calcSources(): string[] {
  return readdirSync(join(ROOT, 'calc'), { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.ts'))
    .map((name) => readFileSync(join(ROOT, 'calc', name), 'utf8'));
}

/** Fields of exported interfaces that hold numbers: the names that others have to read. */
function numberFields(source: string): string[] {
  const interfaces = [...source.matchAll(/^export interface [^{]+\{([\s\S]*?)^\}/gm)];
  return interfaces.flatMap((match) =>
    [
      ...(match[1] ?? '').matchAll(
        /^ {2}(?:readonly )?(\w+)\??: (?:readonly )?(?:number|Float64Array)\b/gm,
      ),
    ].map((field) => field[1] ?? ''),
  );
}

describe('the nomenclature', () => {
  const [suffixTable = '', nameTable = '', ...rest] = section('Nomenclature')
    .split('\n\n')
    .filter((part) => part.startsWith('|') || part.startsWith('Counts'));
  const suffixes = suffixTable
    .split('\n')
    .slice(2)
    .flatMap((row) => quoted(row.split('|')[1] ?? ''));
  const plain = new Set(quoted(rest.join('\n')));

  it('gives every number of calc a unit at the end of its name', () => {
    const names = calcSources().flatMap(numberFields);
    expect(names.length).toBeGreaterThan(150);
    const wrong = names.filter(
      (name) => !plain.has(name) && !suffixes.some((suffix) => name.endsWith(suffix)),
    );
    expect([...new Set(wrong)]).toEqual([]);
  });

  it('names only what the code has', () => {
    const code = calcSources().join('\n');
    const names = nameTable
      .split('\n')
      .slice(2)
      .flatMap((row) => quoted(row.split('|')[2] ?? ''));
    expect(names.length).toBeGreaterThan(15);
    expect(names.filter((name) => !new RegExp(`\\b${name}\\b`).test(code))).toEqual([]);
  });
});

describe('the refusals of a confirm', () => {
  it('are the same in the table and in the code, in the same order', () => {
    const documented = section('Refusals of a confirm')
      .split('\n')
      .filter((line) => line.startsWith('| `'))
      .flatMap((line) => quoted(line).slice(0, 1));
    const code = readFileSync(join(ROOT, 'daemon', 'gate', 'judge-confirm.ts'), 'utf8');
    const list = /export type RefusalCode =([\s\S]*?);/.exec(code)?.[1] ?? '';
    const coded = [...list.matchAll(/'(\w+)'/g)].map((match) => match[1] ?? '');
    expect(coded.length).toBe(13);
    expect(documented).toEqual(coded);
  });
});

describe('the checks of the weather', () => {
  it('are the same in the table and in the code, in the same order', () => {
    const documented = section('Checks of the weather')
      .split('\n')
      .filter((line) => line.startsWith('| `'))
      .flatMap((line) => quoted(line).slice(0, 1));
    expect(documented).toEqual([...CHECK_RULES]);
  });
});

/** Codes in the first column of the rows between two marks of a document. */
function codesBetween(document: string, from: string, to: RegExp): string[] {
  const start = document.indexOf(from);
  expect(start, from).toBeGreaterThan(-1);
  const rest = document.slice(start + from.length);
  const end = rest.search(to);
  return [...rest.slice(0, end === -1 ? undefined : end).matchAll(/^\| `([\w ]+)` \|/gm)].map(
    (match) => match[1] ?? '',
  );
}

describe('the codes', () => {
  it.each<[string, readonly string[]]>([
    ['Steps of the log', STEP_KINDS],
    ['Needs of the status', NEED_CODES],
    ['Reasons not to be ready', UNREADY_CODES],
    ["Answers of the page's interface", API_ERROR_CODES],
    ['States of a run', RUN_STATES],
    ['Kinds of news', NEWS_KINDS],
    ['Warnings of a plan', WARNING_CODES],
    ['Notices of a plan', NOTICE_CODES],
  ])('are the same in the table and in the code: %s', (heading, codes) => {
    expect(codes.length).toBeGreaterThan(3);
    expect(codesBetween(developers, `### ${heading}`, /^##/m)).toEqual([...codes]);
  });

  it.each<[string, readonly string[]]>([
    ['| need |', NEED_CODES],
    ['| step |', STEP_KINDS.map((kind) => kind.replaceAll('_', ' '))],
    ['| notice |', NOTICE_CODES],
  ])('are told to the operator, all of them: %s', (heading, codes) => {
    expect(codesBetween(readme, heading, /\n\n/)).toEqual([...codes]);
  });
});

describe('the version', () => {
  it('is that of package.json', () => {
    const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
    expect(VERSION).toBe(version);
  });
});

describe('the README', () => {
  it('opens with the job in one paragraph, then the two set-up commands', () => {
    const [title, job, start, , test] = readme.split(/\n\n(?!\n)/);
    expect(title).toBe('# dewbeat');
    expect(job).not.toContain('\n');
    expect(start).toContain('npm ci && npm start');
    expect(test).toContain('npm ci && npm test');
  });

  it('names every command and no other', () => {
    const rows = readme.slice(readme.indexOf('## Commands'), readme.indexOf('## Weather'));
    const documented = [...rows.matchAll(/^\| `([\w-]+)` \|/gm)].map((match) => match[1] ?? '');
    const coded = readdirSync(join(ROOT, 'daemon', 'commands')).flatMap((file) => {
      const source = readFileSync(join(ROOT, 'daemon', 'commands', file), 'utf8');
      return [...source.matchAll(/\.command\('([\w-]+)'\)/g)].map((match) => match[1] ?? '');
    });
    expect(documented.toSorted()).toEqual(coded.toSorted());
  });

  it('links only to headings that it has', () => {
    const anchors = [...readme.matchAll(/\]\(#([^)]+)\)/g)].map((match) => match[1] ?? '');
    const headings = [...readme.matchAll(/^##+ (.+)$/gm)].map((match) =>
      (match[1] ?? '')
        .toLowerCase()
        .replace(/[^a-z0-9 -]/g, '')
        .replaceAll(' ', '-'),
    );
    expect(anchors.length).toBeGreaterThan(5);
    expect(anchors.filter((anchor) => !headings.includes(anchor))).toEqual([]);
  });

  it('names only example files that exist', () => {
    const files = [...readme.matchAll(/config-examples\/[\w.-]+/g)].map((match) => match[0]);
    expect(files.length).toBeGreaterThan(3);
    for (const file of new Set(files)) expect(readFileSync(join(ROOT, file), 'utf8')).not.toBe('');
  });
});
