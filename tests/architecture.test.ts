import { execFileSync } from 'node:child_process';
import { readdirSync, readFileSync } from 'node:fs';
import { dirname, join, relative, resolve, sep } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { arrowsBack } from './house/arrows-back.ts';
import { roomArrows, sourceTexts } from './house/sources.ts';

const ROOT = fileURLToPath(new URL('..', import.meta.url));
const ROOMS = ['calc', 'adapters', 'daemon'] as const;

/** npm packages that calc may use: mathematics and one data structure, no I/O. */
const CALC_PACKAGES = new Set(['ml-levenberg-marquardt', 'tinyqueue']);

/** npm packages that are bundled into the page. */
const CLIENT_PACKAGES = new Set(['intl-messageformat', 'preact', 'uplot']);

/** The messages of the page: plain constants, the only part of the words that is bundled into it. */
const CLIENT_MESSAGES = new Set(
  ['en', 'es'].flatMap((language) =>
    ['page.ts', 'page-setup.ts'].map((name) => join('daemon', 'words', language, name)),
  ),
);

interface Import {
  file: string;
  target: string;
}

function sources(room: string): string[] {
  return readdirSync(join(ROOT, room), { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.tsx?$/.test(name))
    .map((name) => join(ROOT, room, name));
}

function importsOf(file: string): Import[] {
  const text = readFileSync(file, 'utf8');
  return [...text.matchAll(/\bfrom '([^']+)'|\bimport\('([^']+)'\)|^import '([^']+)'/gm)].map(
    (match) => ({ file, target: match[1] ?? match[2] ?? match[3] ?? '' }),
  );
}

function roomOf(found: Import): string {
  if (!found.target.startsWith('.')) return `npm:${found.target}`;
  return relative(ROOT, resolve(dirname(found.file), found.target)).split(sep)[0] ?? '';
}

describe('the house', () => {
  it('has source files in every room', () => {
    for (const room of ROOMS) expect(sources(room).length, room).toBeGreaterThan(10);
  });

  it.each([
    ['calc', ['calc']],
    ['adapters', ['calc', 'adapters']],
    ['daemon', ['calc', 'adapters', 'daemon']],
  ] as const)('%s imports only from %j', (room, allowed) => {
    const wrong = sources(room)
      .flatMap(importsOf)
      .filter((found) => {
        const target = roomOf(found);
        return !target.startsWith('npm:') && !(allowed as readonly string[]).includes(target);
      });
    expect(wrong).toEqual([]);
  });

  it('calc uses no node module and no package but pure ones', () => {
    const wrong = sources('calc')
      .flatMap(importsOf)
      .map(roomOf)
      .filter((target) => target.startsWith('npm:') && !CALC_PACKAGES.has(target.slice(4)));
    expect(wrong).toEqual([]);
  });

  it('calc reads no clock', () => {
    const wrong = sources('calc').filter((file) =>
      /\bDate\.now\(|\bnew Date\(\)|\bperformance\.now\(/.test(readFileSync(file, 'utf8')),
    );
    expect(wrong).toEqual([]);
  });

  it('the client imports its own folder, its messages and packages, formatters, and types alone', () => {
    const folder = join('daemon', 'faces', 'web', 'page');
    const wrong = sources('daemon')
      .filter((file) => relative(ROOT, file).startsWith(folder + sep))
      .flatMap((file) => {
        const types = [
          ...readFileSync(file, 'utf8').matchAll(/^import type [^;]*from '([^']+)'/gm),
        ];
        const onlyTypes = new Set(types.map((match) => match[1]));
        return importsOf(file).map((found) => ({
          ...found,
          onlyType: onlyTypes.has(found.target),
        }));
      })
      .filter(({ file, target, onlyType }) => {
        if (!target.startsWith('.')) return !CLIENT_PACKAGES.has(target.split('/')[0] ?? '');
        const path = relative(ROOT, resolve(dirname(file), target));
        if (path.startsWith(folder + sep)) return false;
        if (path === join('adapters', 'display-units.ts')) return false;
        if (onlyType && path === join('adapters', 'contract.ts')) return false;
        if (CLIENT_MESSAGES.has(path)) return false;
        return !(onlyType && dirname(path) === join('daemon', 'faces', 'web', 'views'));
      });
    expect(wrong).toEqual([]);
  });

  it('luxon is imported in one file', () => {
    const users = ROOMS.flatMap(sources).filter((file) =>
      importsOf(file).some((found) => found.target === 'luxon'),
    );
    expect(users.map((file) => relative(ROOT, file))).toEqual([
      join('daemon', 'site', 'time', 'site-clock.ts'),
    ]);
  });

  it('a ConfirmedPlan is made in one file of the gate and nowhere else', () => {
    const makers = ROOMS.flatMap(sources).filter((file) =>
      /\bas (unknown as )?ConfirmedPlan\b|\bsatisfies ConfirmedPlan\b|<ConfirmedPlan>\s*\{/.test(
        readFileSync(file, 'utf8'),
      ),
    );
    expect(makers.map((file) => relative(ROOT, file))).toEqual([
      join('daemon', 'site', 'gate', 'confirmed-plan.ts'),
    ]);
  });

  it('a change within a leeway is written in one file of the gate, and read back through its judge', () => {
    const naming = (word: string) =>
      ROOMS.flatMap(sources)
        .filter((file) => new RegExp(`\\b${word}\\b`).test(readFileSync(file, 'utf8')))
        .map((file) => relative(ROOT, file).split(sep).join('/'));
    expect(naming('addLeewayUse')).toEqual([
      'daemon/site/gate/use-leeway.ts',
      'daemon/site/store/leeway-uses.ts',
    ]);
    expect(naming('withinLeeway')).toEqual([
      'daemon/site/gate/confirmed-plan.ts',
      'daemon/site/gate/use-leeway.ts',
      'daemon/site/gate/within-leeway.ts',
    ]);
  });

  it('keeps files to one idea: none beyond 400 lines', () => {
    const long = ROOMS.flatMap(sources).filter(
      (file) => readFileSync(file, 'utf8').split('\n').length > 401,
    );
    expect(long.map((file) => relative(ROOT, file))).toEqual([]);
  });

  it('has rooms in the daemon of which none imports back from one above it', () => {
    const arrows = roomArrows(sourceTexts());
    expect(arrows.length).toBeGreaterThan(100);
    expect(arrowsBack(arrows)).toEqual([]);
  });

  it('has no circle of imports, not even of types', () => {
    const files = ROOMS.flatMap(sources);
    const targets = new Map(
      files.map((file) => [
        file,
        importsOf(file)
          .filter((found) => found.target.startsWith('.'))
          .map((found) => resolve(dirname(file), found.target)),
      ]),
    );
    const done = new Set<string>();
    const circles: string[] = [];
    const visit = (file: string, path: readonly string[]) => {
      if (path.includes(file)) circles.push([...path.slice(path.indexOf(file)), file].join(' -> '));
      if (path.includes(file) || done.has(file)) return;
      for (const target of targets.get(file) ?? []) visit(target, [...path, file]);
      done.add(file);
    };
    for (const file of files) visit(file, []);
    expect(circles).toEqual([]);
  });

  it('has nothing at the root but what the layout names', () => {
    const names = execFileSync('git', ['ls-files'], { cwd: ROOT, encoding: 'utf8' })
      .split('\n')
      .flatMap((name) => (name === '' ? [] : [name.split('/')[0] ?? '']));
    const allowed = new Set([
      ...ROOMS,
      'tests',
      'config-examples',
      'package.json',
      'package-lock.json',
      'tsconfig.json',
      'README.md',
      'DEVELOPERS.md',
      'LICENSE',
      'biome.json',
      '.gitignore',
      '.ci',
    ]);
    expect([...new Set(names)].filter((name) => !allowed.has(name))).toEqual([]);
  });
});
