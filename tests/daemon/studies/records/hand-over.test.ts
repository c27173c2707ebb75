import {
  appendFileSync,
  existsSync,
  readdirSync,
  readFileSync,
  rmSync,
  writeFileSync,
} from 'node:fs';
import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { planDigest } from '../../../../adapters/plan-document.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat, type Said } from '../../command-line.ts';

const NOW_MS = Date.parse('2026-07-01T12:10:00Z');
const KEEPER = ['--who', 'A. Keeper (invented)'];

const CONFIG = `# the pump house key is under the third stone
site: { id: fen-edge, name: Fen Edge (invented), latitude: 40, longitude: -120, elevation: 30 m, zone: America/Los_Angeles }
units: us
weather: { source: outlook, wind_height: 10 m, usual: [{ month: 7, high: 30 °C, low: 18 °C, wind: 3 m/s, rain: 0 mm }] }
supply: { pump_flow: 500 L/min }
sands: { crest: { capacity: 2.4 mm } }
beds: [{ id: g1, name: Green 1, area: 400 m², sand: crest, water_before_seeding: true }]
stations: [{ id: s1, bed: g1, flow: 200 L/min, rate: { stated: 18 mm/h } }]
outputs: [{ output: file, name: field, folder: ./field }]
news: { webhook: 'https://hooks.example.org/T0/secret-part', secret_env: DEWBEAT_HOOK }
`;

let cwd: string;
let run: (args: string[], nowMs?: number) => Promise<Said>;
beforeEach(async () => {
  cwd = scratchFolder();
  writeFileSync(join(cwd, 'dewbeat.yaml'), CONFIG);
  run = (args, nowMs = NOW_MS) => dewbeat(args, { cwd, nowMs });
  expect(await run(['plan'])).toMatchObject({ code: 0 });
  await run(['meter', '--read', '1000 gal', ...KEEPER]);
});

const at = (path: string) => readFileSync(join(cwd, 'package', path), 'utf8');

describe('dewbeat hand-over', () => {
  it('writes everything once, as its digests say, and never over anything', async () => {
    const said = await run(['hand-over', '--to', 'package']);
    expect(said).toMatchObject({ code: 0, err: '' });
    expect(said.out).toContain('written and checked');
    for (const file of [
      'README.txt',
      'report.html',
      'water-by-day.csv',
      'runs.csv',
      'log.csv',
      'photos.csv',
      'config/dewbeat.yaml',
      'plans/2026-07-01-r001.json',
      'history/meter_reading.jsonl',
    ]) {
      expect(existsSync(join(cwd, 'package', file)), file).toBe(true);
      expect(at('manifest.sha256'), file).toContain(`  ${file}\n`);
    }
    expect(await run(['hand-over', '--check', 'package'])).toMatchObject({ code: 0 });
    const again = await run(['hand-over', '--to', 'package']);
    expect(again.code).toBe(1);
    expect(again.err).toContain('nothing is written over');
    expect(readdirSync(cwd).filter((name) => name.startsWith('.package'))).toEqual([]);
  });

  it('finds what was changed, taken out or put in', async () => {
    await run(['hand-over', '--to', 'package']);
    appendFileSync(join(cwd, 'package', 'runs.csv'), 'one more\r\n');
    rmSync(join(cwd, 'package', 'log.csv'));
    writeFileSync(join(cwd, 'package', 'plans', 'stranger.json'), '{}');
    const said = await run(['hand-over', '--check', 'package']);
    expect(said.code).toBe(1);
    expect(said.err).toContain('runs.csv: was changed');
    expect(said.err).toContain('log.csv: is missing');
    expect(said.err).toContain("plans/stranger.json: is none of the package's files");
    expect((await run(['hand-over', '--check', 'nowhere'])).code).toBe(1);
    expect((await run(['hand-over'])).code).toBe(2);
  });

  it('keeps secrets and comments back, and plans with the digest that was confirmed', async () => {
    await run(['hand-over', '--to', 'package']);
    const everything = readdirSync(join(cwd, 'package'), { recursive: true, encoding: 'utf8' })
      .filter((path) => /\.\w+$/.test(path))
      .map(at)
      .join('\n');
    expect(everything).not.toContain('secret-part');
    expect(everything).not.toContain('third stone');
    expect(at('config/dewbeat.yaml')).toContain('webhook: (hidden)');
    expect(at('config/dewbeat.yaml')).toContain('DEWBEAT_HOOK');
    const { digest, plan } = JSON.parse(at('plans/2026-07-01-r001.json'));
    expect(planDigest(plan)).toBe(digest);
  });

  it('says in plain words what is estimated', async () => {
    await run(['hand-over', '--to', 'package']);
    const readMe = at('README.txt');
    expect(readMe).toContain('WHAT IS ESTIMATED');
    expect(readMe).toContain('The rate of 1 of 1 stations was not measured on the site.');
    expect(readMe).toContain('1 of 1 days have no measured hour');
    expect(readMe).toContain('Sprinklers start without notice');
    expect(Math.max(...readMe.split('\n').map((line) => line.length))).toBeLessThanOrEqual(80);
  });

  it('is read in Spanish where that is asked for', async () => {
    await run(['hand-over', '--to', 'package', '--language', 'es']);
    expect(at('README.txt')).toContain('QUÉ ES ESTIMADO');
    expect(at('README.txt')).toContain('La tasa de 1 de 1 estaciones no se midió en el sitio.');
    expect(at('README.txt')).not.toMatch(/\b(the|of|is)\b/);
    expect(at('report.html')).toContain('<html lang="es">');
    expect(at('water-by-day.csv')).toMatch(/^site day/);
    expect((await run(['hand-over', '--to', 'other', '--language', 'fr'])).code).toBe(2);
  });
});
