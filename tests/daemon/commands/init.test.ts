import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { scratchFolder } from '../../scratch-site.ts';
import { dewbeat } from '../command-line.ts';

const NOW_MS = Date.parse('2026-07-01T07:00:00Z');

/** An invented site of six beds, with the list that a course has in its spreadsheet. */
const ANSWERS = `
site: { name: Tern Flats (invented), position: "33°30'00\\"N 42°06'00\\"W", elevation: 12 m, zone: Etc/GMT+3 }
units: us
weather: { source: outlook, wind_height: 10 m, usual: [ { month: 7, high: 85 °F, low: 65 °F, wind: 8 mph, rain: 0 in } ] }
supply: { pump_flow: 400 gpm, mains: [ { id: loop, flow: 300 gpm } ] }
beds: |
  Green	Area (sq ft)
${[1, 2, 3, 4, 5, 6].map((n) => `  Green ${n}	${4500 + 100 * n}`).join('\n')}
stations: |
  Valve;Green;Heads;Nozzle flow (gpm);Spacing;Arc time;Main
${[1, 2, 3, 4, 5, 6].map((n) => `  G${n}/1;Green ${n};2;27,4;60 ft;180;loop`).join('\n')}
people: [ { name: A. Keeper, pin: "735210" } ]
`;

function scratchAnswers(text = ANSWERS) {
  const cwd = scratchFolder();
  writeFileSync(join(cwd, 'answers.yaml'), text);
  const run = (...args: string[]) => dewbeat(args, { cwd, nowMs: NOW_MS });
  return { cwd, run, config: join(cwd, 'dewbeat.yaml') };
}

describe('dewbeat init --from', () => {
  it('sets up six beds from prepared answers, and the first plan follows', async () => {
    const { run, config } = scratchAnswers();
    const said = await run('init', '--from', 'answers.yaml');
    expect(said).toMatchObject({ code: 0, err: '' });
    expect(said.out).toContain('npx dewbeat plan');
    expect(said.out).not.toContain('scrypt:');
    expect(readFileSync(config, 'utf8')).toMatch(/pin: scrypt:/);
    expect(readFileSync(config, 'utf8')).not.toContain('735210');
    expect((await run('check')).out).toContain('6 beds, 6 stations');
    const plan = await run('plan');
    expect(plan.code).toBe(0);
    expect(plan.out).toContain('Green 6');
  });

  it('changes nothing at a second run, and keeps the PIN of a person who gives none', async () => {
    const { run, config, cwd } = scratchAnswers();
    await run('init', '--from', 'answers.yaml');
    const first = readFileSync(config, 'utf8');
    writeFileSync(join(cwd, 'answers.yaml'), 'people: [ { name: A. Keeper } ]\n');
    expect((await run('init', '--from', 'answers.yaml')).out).toContain('nothing was to change');
    expect(readFileSync(config, 'utf8')).toBe(first);
  });

  it('tells everything that is wrong, and writes nothing', async () => {
    const { run, config } = scratchAnswers(
      ANSWERS.replace('33°30', '93°30').replace('400 gpm', '400').replace('"735210"', '"1234"'),
    );
    const said = await run('init', '--from', 'answers.yaml');
    expect(said.code).toBe(2);
    expect(said.err).toContain('site.position: has a latitude beyond 90 degrees');
    expect(said.err).toContain('supply.pump_flow: has no unit (got 400)');
    expect(said.err).toContain('must have 6 to 64 characters (got 4)');
    expect(said.err).toContain('Nothing was written.');
    expect(existsSync(config)).toBe(false);
  });

  it('does not touch a file that it cannot read whole', async () => {
    const { run, config } = scratchAnswers('units: us\n');
    writeFileSync(config, 'site: { id: x\nunits us\n');
    expect((await run('init', '--from', 'answers.yaml')).code).toBe(2);
    expect(readFileSync(config, 'utf8')).toBe('site: { id: x\nunits us\n');
  });

  it.each([
    ['nothing.yaml', 'cannot be read (got no such file)'],
    ['answers.yaml', 'sites: is not a known key; did you mean site?'],
  ])('refuses answers that it does not understand (%s)', async (file, message) => {
    const { run } = scratchAnswers('sites: {}\n');
    const said = await run('init', '--from', file);
    expect(said.code).toBe(2);
    expect(said.err).toContain(message);
  });
});
