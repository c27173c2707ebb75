import { execFileSync } from 'node:child_process';
import { mkdirSync, readFileSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { CONFIG_BOUNDS, readText, tooMuch } from '../../../../daemon/site/config/bounded-input.ts';
import { loadConfig } from '../../../../daemon/site/config/load.ts';
import { nearestKey, problemText } from '../../../../daemon/site/config/problems.ts';
import { scratchFolder } from '../../../scratch-site.ts';

const MINIMAL = readFileSync(
  fileURLToPath(new URL('../../../../config-examples/minimal.yaml', import.meta.url)),
  'utf8',
);
/** Far above what any of them takes, far below what a person gives up at. */
const PATIENCE_MS = 5_000;

const times = (count: number, text: (at: number) => string) =>
  Array.from({ length: count }, (_, at) => text(at)).join('');

/** Every problem as a person reads it, and how long that took. */
function checked(files: Record<string, string>): { told: string[]; tookMs: number } {
  const folder = scratchFolder();
  for (const [name, text] of Object.entries(files)) writeFileSync(join(folder, name), text);
  const begun = performance.now();
  const result = loadConfig(join(folder, 'site.yaml'));
  const tookMs = performance.now() - begun;
  const problems = result.ok ? [] : result.problems;
  return { told: problems.map((one) => problemText(one).replace(`${folder}/`, '')), tookMs };
}

describe('a config that is no plain file', () => {
  it.each([
    ['a pipe', (path: string) => execFileSync('mkfifo', [path])],
    ['a folder', (path: string) => mkdirSync(path)],
    ['a device', (path: string) => symlinkSync('/dev/zero', path)],
    ['no such file', () => {}],
  ])('is refused at once: %s', (what, make) => {
    const path = join(scratchFolder(), 'site.yaml');
    make(path);
    const result = loadConfig(path);
    if (result.ok) throw new Error('it was read');
    expect(result.problems.map(({ message }) => message)).toEqual([
      `cannot be read (got ${what}); name a config file that is there`,
    ]);
  });

  it('is refused as a table as well', () => {
    const folder = scratchFolder();
    execFileSync('mkfifo', [join(folder, 'stations.csv')]);
    const text = MINIMAL.replace(/^stations:[\s\S]*$/m, 'stations_file: stations.csv\n');
    writeFileSync(join(folder, 'site.yaml'), text);
    const result = loadConfig(join(folder, 'site.yaml'));
    if (result.ok) throw new Error('it was read');
    expect(result.problems[0]?.message).toBe(
      'names a table that cannot be read (got stations.csv: a pipe); correct the name',
    );
  });

  it('is not read when it is far too large, however large', () => {
    const path = join(scratchFolder(), 'site.yaml');
    writeFileSync(path, MINIMAL);
    truncateSync(path, 2 ** 40);
    expect(readText(path)).toEqual({ ok: false, why: 'larger than 2 MB' });
    truncateSync(path, 2 * 2 ** 20 + 1);
    expect(readText(path)).toEqual({ ok: false, why: 'larger than 2 MB' });
    truncateSync(path, 2 * 2 ** 20);
    expect(readText(path).ok).toBe(true);
    expect(readText(path, 64 * 1024)).toEqual({ ok: false, why: 'larger than 64 KB' });
  });
});

describe('a config that holds too much', () => {
  it.each([
    ['keys of one map', `${MINIMAL}${times(9_000, (at) => `k${at}: 1\n`)}`, 'has too many keys'],
    ['keys in all', times(200_000, (at) => `k${at}: 1\n`), 'holds too much'],
    ['brackets', `a: ${'['.repeat(300_000)}`, 'site.yaml:1:64: lies too deep'],
    ['explicit keys', '? '.repeat(100_000), 'lies too deep'],
    ['lists in lists', '- '.repeat(100_000), 'lies too deep'],
    ['maps in maps', times(40, (at) => `${' '.repeat(at)}a:\n`), 'lies too deep'],
    ['aliases', `a: &a 1\nb: [${times(300_000, () => '*a,')}]`, 'holds too much'],
    ['a text', `site: ${'x'.repeat(1_000_000)}`, 'site: is too long (got 1000000 letters)'],
    ['entries', `beds: [${times(20_001, () => '1,')}]`, 'beds: has too many entries (got 20001)'],
  ])('is refused by one problem: %s', (_, text, words) => {
    const { told, tookMs } = checked({ 'site.yaml': text });
    expect(told).toHaveLength(1);
    expect(told[0]).toContain(words);
    expect(tookMs).toBeLessThan(PATIENCE_MS);
  });

  it.each([
    ['rows', `id,bed\n${times(20_001, (at) => `s${at},a\n`)}`, 'has too many rows'],
    ['columns', `id,${','.repeat(500_000)}\n`, 'has too many columns (got 500002)'],
  ])('is refused by one problem as a table: %s', (_, table, words) => {
    const text = MINIMAL.replace(/^stations:[\s\S]*$/m, 'stations_file: stations.csv\n');
    const { told, tookMs } = checked({ 'site.yaml': text, 'stations.csv': table });
    const ofTable = told.filter((line) => line.startsWith('stations.csv'));
    expect(ofTable).toHaveLength(1);
    expect(ofTable[0]).toContain(words);
    expect(tookMs).toBeLessThan(PATIENCE_MS);
  });

  it('takes as many rows as it may, and tells a hundred problems and how many more there are', () => {
    const text = MINIMAL.replace(/^stations:[\s\S]*$/m, 'stations_file: stations.csv\n');
    const rows = times(20_000, (at) => `s${at},nobed${at},1 gpm,0.7 in/h,60 s\n`);
    const { told, tookMs } = checked({
      'site.yaml': text,
      'stations.csv': `id,bed,flow,rate,rotation\n${rows}`,
    });
    expect(told).toHaveLength(101);
    expect(told.at(-1)).toMatch(/: and 199\d\d more \(got 200\d\d in all\); mend these first$/);
    expect(tookMs).toBeLessThan(2 * PATIENCE_MS);
  });

  it('tells few unknown keys each, and many by their number', () => {
    const unknown = (count: number) =>
      checked({ 'site.yaml': `${MINIMAL}${times(count, (at) => `strange${at}: 1\n`)}` }).told;
    expect(unknown(30)).toHaveLength(30);
    expect(unknown(31)).toEqual([
      expect.stringContaining(
        'has 31 keys that are not known (got strange0, strange1, strange2 and more); known keys here: site, units,',
      ),
    ]);
  });

  it('takes a config as large as a site can be', () => {
    const stations = times(
      3_000,
      (at) => `  - { id: s${at}, bed: nobed, flow: 1 gpm, rate: { stated: 0.7 in/h } }\n`,
    );
    const { told } = checked({
      'site.yaml': MINIMAL.replace(/^stations:[\s\S]*$/m, `stations:\n${stations}`),
    });
    expect(told.join('\n')).toContain('stations[s0].bed: names a bed that is not there');
  });
});

describe('what is looked at before it is checked', () => {
  it('may hold as much as the bounds say and no more', () => {
    const nested = (deep: number): unknown => (deep === 0 ? 1 : [nested(deep - 1)]);
    expect(tooMuch(nested(30), CONFIG_BOUNDS)).toBeNull();
    expect(tooMuch(nested(31), CONFIG_BOUNDS)?.message).toContain('lies too deep');
    const map = (keys: number) =>
      Object.fromEntries(Array.from({ length: keys }, (_, at) => [at, 1]));
    expect(tooMuch({ a: [map(500)] }, CONFIG_BOUNDS)).toBeNull();
    expect(tooMuch({ a: [map(501)] }, CONFIG_BOUNDS)).toEqual({
      path: ['a', 0],
      message: 'has too many keys (got 501); keep to 500 keys at most',
    });
    const wide = Array.from({ length: 1_200 }, () => map(499));
    expect(tooMuch(wide, CONFIG_BOUNDS)).toEqual({
      path: [],
      message: 'holds too much (got more); keep to 500000 values at most',
    });
  });

  it('is compared with known words only where that is quick', () => {
    expect(nearestKey('wind_heigth', ['wind_height'])).toBe('wind_height');
    expect(nearestKey('a'.repeat(81), ['a'.repeat(80)])).toBeNull();
    const many = Array.from({ length: 501 }, (_, at) => `bed-${at}`);
    expect(nearestKey('bed-0x', many)).toBeNull();
  });
});

describe('a file that was named by mistake', () => {
  it('is shown nowhere, as a table or with a broken quote', () => {
    const text = MINIMAL.replace(/^stations:[\s\S]*$/m, 'stations_file: secret.txt\n');
    for (const secret of [
      'hunter2\nroot:x:0:0\n',
      'id,bed\n"hunter2\n',
      'id,bed\nhun"ter2,"hunter2" x\n',
    ]) {
      const { told } = checked({ 'site.yaml': text, 'secret.txt': secret });
      expect(told.length).toBeGreaterThan(0);
      expect(told.join('\n')).not.toMatch(/hunter2|hun"ter2|root/);
    }
  });
});
