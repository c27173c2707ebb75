import { existsSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join, normalize } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { ALERT_KINDS } from '../adapters/contract.ts';
import { CHECK_RULES } from '../adapters/weather/source.ts';
import { NOTICE_CODES } from '../calc/growth/notice.ts';
import { WARNING_CODES } from '../calc/schedule/plan-warning.ts';
import { ACTIONS } from '../daemon/actions/list.ts';
import { API_ERROR_CODES } from '../daemon/faces/web/views/action-view.ts';
import { UNREADY_CODES } from '../daemon/service/monitoring.ts';
import { NEED_CODES } from '../daemon/service/needs.ts';
import { AUDIT_KINDS } from '../daemon/site/store/audit-log.ts';
import { RUN_STATES } from '../daemon/site/store/run-state.ts';
import { VERSION } from '../daemon/version.ts';
import { isMessage, sayIn } from '../daemon/words/language.ts';
import { GENERATED, withGeneratedParts } from './generators/generated-parts.ts';

const ROOT = fileURLToPath(new URL('..', import.meta.url));

/** Every document, by its path. */
const DOCUMENTS: Readonly<Record<string, string>> = Object.fromEntries(
  [
    'README.md',
    'DEVELOPERS.md',
    'calc/README.md',
    'adapters/README.md',
    'daemon/README.md',
    'config-examples/README.md',
    'tests/README.md',
  ].map((path) => [path, readFileSync(join(ROOT, path), 'utf8')]),
);

function documentAt(path: string): string {
  const document = DOCUMENTS[path];
  if (document === undefined) throw new Error(`${path}: is no document`);
  return document;
}

const readme = documentAt('README.md');
const guide = documentAt('daemon/README.md');

/** The lines of a document under a heading, up to the next one of its level or above. */
function section(document: string, heading: string): string {
  const level = /^#+/.exec(heading)?.[0].length ?? 0;
  const from = document.indexOf(`\n${heading}\n`);
  expect(from, heading).toBeGreaterThan(-1);
  const under = document.slice(from + heading.length + 2);
  const next = under.search(new RegExp(`^#{1,${level}} `, 'm'));
  return next === -1 ? under : under.slice(0, next);
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
  const [suffixTable = '', nameTable = '', ...rest] = section(
    documentAt('calc/README.md'),
    '## Nomenclature',
  )
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
    const documented = section(guide, '### Refusals of a confirm')
      .split('\n')
      .filter((line) => line.startsWith('| `'))
      .flatMap((line) => quoted(line).slice(0, 1));
    const code = readFileSync(join(ROOT, 'daemon', 'site', 'gate', 'judge-confirm.ts'), 'utf8');
    const list = /export type RefusalCode =([\s\S]*?);/.exec(code)?.[1] ?? '';
    const coded = [...list.matchAll(/'(\w+)'/g)].map((match) => match[1] ?? '');
    expect(coded.length).toBe(14);
    expect(documented).toEqual(coded);
  });
});

describe('the checks of the weather', () => {
  it('are the same in the table and in the code, in the same order', () => {
    const documented = section(documentAt('adapters/README.md'), '## Checks of the weather')
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
  return [...rest.slice(0, end === -1 ? undefined : end).matchAll(/^\| `([\w -]+)` \|/gm)].map(
    (match) => match[1] ?? '',
  );
}

describe('the codes', () => {
  it.each<[string, readonly string[]]>([
    ['Needs of the status', NEED_CODES],
    ['Reasons not to be ready', UNREADY_CODES],
    ["Answers of the page's interface", API_ERROR_CODES],
    ['States of a run', RUN_STATES],
    ['Kinds of news', ALERT_KINDS],
    ['Warnings of a plan', WARNING_CODES],
    ['Notices of a plan', NOTICE_CODES],
  ])('are the same in the table and in the code: %s', (heading, codes) => {
    expect(codes.length).toBeGreaterThan(3);
    expect(codesBetween(guide, `### ${heading}\n`, /^##/m)).toEqual([...codes]);
  });

  it.each<[string, readonly string[]]>([
    ['| need |', NEED_CODES],
    ['| step |', AUDIT_KINDS.map((kind) => sayIn('en')(`step.${kind}`))],
    ['| notice |', NOTICE_CODES],
  ])('are told to the operator, all of them: %s', (heading, codes) => {
    expect(codesBetween(guide, heading, /\n\n/)).toEqual([...codes]);
  });

  it('of steps stand beside the words in which the log shows them', () => {
    const rows = [
      ...section(guide, '### Steps of the log').matchAll(/^\| `([\w -]+)` \| `(\w+)` \|/gm),
    ];
    expect(rows.map(([, , code]) => code)).toEqual([...AUDIT_KINDS]);
    for (const [, words, code] of rows) {
      const key = `step.${code}`;
      expect(isMessage(key) ? sayIn('en')(key) : '', code).toBe(words);
    }
  });
});

describe('the version', () => {
  it('is that of package.json', () => {
    const { version } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8'));
    expect(VERSION).toBe(version);
  });
});

describe('the topics', () => {
  it('are those of the code, all of them', () => {
    const rows = section(documentAt('adapters/README.md'), '## Topics and messages');
    const documented = [...rows.matchAll(/^\| `(\w+)` \|/gm)].map((match) => match[1] ?? '');
    const outputs = join(ROOT, 'adapters', 'outputs');
    const coded = readdirSync(outputs, { recursive: true, encoding: 'utf8' }).flatMap((file) =>
      file.endsWith('.ts')
        ? [...readFileSync(join(outputs, file), 'utf8').matchAll(/\btopic\('(\w+)'\)/g)]
        : [],
    );
    expect(coded.length).toBeGreaterThan(7);
    expect(documented.toSorted()).toEqual(
      [...new Set(coded.map((match) => match[1] ?? ''))].toSorted(),
    );
  });
});

describe('the generated parts', () => {
  it.each(Object.keys(GENERATED))(
    'of %s are as the code has them; `npm run generate:documents` writes them anew',
    async (path) => {
      const document = documentAt(path);
      expect(await withGeneratedParts(path, document)).toBe(document);
    },
  );
});

describe('the documents', () => {
  it.each([
    ['README.md', 120],
    ['DEVELOPERS.md', 150],
  ])('%s has at most %i lines', (path, most) => {
    expect(documentAt(path).trimEnd().split('\n').length).toBeLessThanOrEqual(most);
  });

  /** Headings of a document as links name them. */
  const anchorsOf = (document: string) =>
    [...document.replace(/^```[\s\S]*?^```/gm, '').matchAll(/^#+ (.+)$/gm)].map((match) =>
      (match[1] ?? '')
        .toLowerCase()
        .replace(/[^\p{L}\p{N} _-]/gu, '')
        .replaceAll(' ', '-'),
    );

  it.each(Object.keys(DOCUMENTS))('%s links only to files and headings that are there', (path) => {
    const links = [...documentAt(path).matchAll(/\]\(([^)\s]+)\)/g)].map((match) => match[1] ?? '');
    expect(links.length).toBeGreaterThan(0);
    const astray = links.filter((link) => {
      const [file = '', anchor] = link.split('#');
      const target = file === '' ? path : normalize(join(dirname(path), file));
      if (anchor === undefined) return !existsSync(join(ROOT, target));
      return !anchorsOf(DOCUMENTS[target] ?? '').includes(anchor);
    });
    expect(astray).toEqual([]);
  });

  it('are linked with each other: each is reached from the README', () => {
    const reached = new Set(['README.md']);
    for (const path of reached) {
      for (const [, link = ''] of documentAt(path).matchAll(/\]\(([^)#\s]+\.md)[^)]*\)/g)) {
        reached.add(normalize(join(dirname(path), link)));
      }
    }
    expect([...reached].toSorted()).toEqual(Object.keys(DOCUMENTS).toSorted());
  });

  it('has no heading twice in one document, which no link could tell apart', () => {
    for (const [path, document] of Object.entries(DOCUMENTS)) {
      const anchors = anchorsOf(document);
      expect(
        anchors.filter((anchor, index) => anchors.indexOf(anchor) !== index),
        path,
      ).toEqual([]);
    }
  });

  it('name only example files that exist', () => {
    const files = Object.values(DOCUMENTS).flatMap((document) =>
      [...document.matchAll(/config-examples\/[\w.-]+\w/g)].map((match) => match[0]),
    );
    expect(files.length).toBeGreaterThan(3);
    for (const file of new Set(files)) expect(readFileSync(join(ROOT, file), 'utf8')).not.toBe('');
  });

  it('name every example, and no other, in the table of the examples', () => {
    const rows = documentAt('config-examples/README.md').matchAll(/^\| \[([\w.-]+\.yaml)\]/gm);
    const examples = readdirSync(join(ROOT, 'config-examples')).filter((name) =>
      name.endsWith('.yaml'),
    );
    expect([...rows].map((match) => match[1] ?? '').toSorted()).toEqual(examples.toSorted());
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
});

describe('the guide', () => {
  it('names every command and no other', () => {
    const documented = [...section(guide, '## Commands').matchAll(/^\| `([\w-]+)` \|/gm)].map(
      (match) => match[1] ?? '',
    );
    const coded = readdirSync(join(ROOT, 'daemon', 'faces', 'commands')).flatMap((file) => {
      const source = readFileSync(join(ROOT, 'daemon', 'faces', 'commands', file), 'utf8');
      return [...source.matchAll(/\.command\('([\w-]+)'\)/g)].map((match) => match[1] ?? '');
    });
    const acts = ACTIONS.flatMap(({ command }) => (command === null ? [] : [command]));
    expect(documented.toSorted()).toEqual([...new Set([...coded, ...acts])].toSorted());
  });
});
