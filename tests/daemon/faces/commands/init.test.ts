import { existsSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { type Prompt, SetupAborted } from '../../../../daemon/faces/interview/talk.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat } from '../../command-line.ts';

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
    expect((await run('init', '--from', 'answers.yaml')).out).toContain(
      'there was nothing to change',
    );
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

/** Answers in the order of the questions; every question asked is kept. */
function scripted(answers: readonly string[]) {
  const left = [...answers];
  const asked: string[] = [];
  const prompt: Prompt = async (question) => {
    asked.push(question.ask);
    const answer = left.shift();
    if (answer === undefined) throw new SetupAborted();
    return answer;
  };
  return { prompt, asked, left };
}

const BED_TABLE = `Green\tArea (sq ft)\n${[1, 2, 3, 4, 5, 6].map((n) => `Green ${n}\t${4500 + 100 * n}`).join('\n')}`;
const STATION_TABLE = `Valve\tGreen\tFlow (gpm)\tRate (in/h)\tArc time\tMain\n${[1, 2, 3, 4, 5, 6].map((n) => `g${n}\tGreen ${n}\t54.8\t0.72\t180\tloop`).join('\n')}`;

const SITE = ['us', 'Tern Flats (invented)', '33.5, -42.1', '40 ft', 'Etc/GMT+3'];
const WEATHER = ['usual', '85 °F', '65 °F', '8 mph', '', ''];
const REST = ['400 gpm', 'loop 300 gpm', BED_TABLE, STATION_TABLE, '', '', '', ''];

describe('dewbeat init by questions', () => {
  const ask = (cwd: string, answers: readonly string[]) => {
    const script = scripted(answers);
    return {
      script,
      said: dewbeat(['init'], { cwd, nowMs: NOW_MS, prompt: script.prompt }),
    };
  };

  it('sets up six beds, and the first plan follows', async () => {
    const cwd = scratchFolder();
    const answers = [...SITE, ...WEATHER, ...REST, 'yes'];
    const { script, said } = ask(cwd, answers);
    expect(await said).toMatchObject({ code: 0, err: '' });
    expect(script.left).toEqual([]);
    const { out } = await said;
    expect(out).toContain('Last row read: hour');
    expect(out).toContain('Plans follow many such sands');
    expect(out).toContain('+ units: us');
    expect(out).toContain('npx dewbeat plan');
    const plan = await dewbeat(['plan'], { cwd, nowMs: NOW_MS });
    expect(plan.code).toBe(0);
    expect(plan.out).toContain('Green 6');
    // What a person types without the two pasted tables; the time that it takes rests on this.
    expect(script.asked).toHaveLength(20);
    const typed = answers.filter((one) => !one.includes('\t')).join('').length + answers.length;
    expect(typed).toBeLessThan(160);
  });

  it('can be ended at every question, and nothing is written then', async () => {
    const answers = [...SITE, ...WEATHER, ...REST];
    for (let most = 0; most <= answers.length; most += 1) {
      const cwd = scratchFolder();
      const said = await ask(cwd, answers.slice(0, most)).said;
      expect(said).toMatchObject({ code: 1, err: 'Ended. Nothing was written.' });
      expect(readdirSync(cwd)).toEqual([]);
    }
  });

  it('goes back a question, and says at once what an answer lacks', async () => {
    const cwd = scratchFolder();
    const wrongThenBack = [
      'us',
      'Ter',
      '<',
      'Tern Flats (invented)',
      '95, 200',
      '33,5 -42,1',
      '40',
      '40 ft',
      'Mars/Base',
      'Etc/GMT+3',
    ];
    const { said } = ask(cwd, [
      ...wrongThenBack,
      ...WEATHER,
      '400 gpm',
      '<',
      '300',
      '300,5 gpm',
      ...REST.slice(1),
      'yes',
    ]);
    const { out, code } = await said;
    expect(code).toBe(0);
    expect(out).toContain('has a latitude beyond 90 degrees');
    expect(out).toContain('has no unit (got 40)');
    expect(out).toContain('is no time zone that this machine knows (got Mars/Base)');
    const text = readFileSync(join(cwd, 'dewbeat.yaml'), 'utf8');
    expect(text).toContain('name: Tern Flats (invented)');
    expect(text).toContain('pump_flow: 300.5 gpm');
    expect(text).toContain('latitude: 33.5');
  });

  it('does not take a table whose rates were typed with the wrong unit', async () => {
    const cwd = scratchFolder();
    const slip = STATION_TABLE.replace('Rate (in/h)', 'Rate (mm/h)');
    const [supply = '', mains = '', beds = '', stations = '', ...rest] = REST;
    const answers = [...SITE, ...WEATHER, supply, mains, beds, slip, stations, ...rest, 'yes'];
    const { out, code } = await ask(cwd, answers).said;
    expect(code).toBe(0);
    expect(out).toContain(
      'stations[g1].rate.stated: is no rate of turf heads, which have 2 to 150 mm/h (got 0.72 mm/h',
    );
    expect(out).toContain('write 0.72 in/h if that is meant');
    expect(readFileSync(join(cwd, 'dewbeat.yaml'), 'utf8')).toContain('0.72 in/h');
  });

  it('changes one part of a config that is there, and keeps its comments', async () => {
    const cwd = scratchFolder();
    await ask(cwd, [...SITE, ...WEATHER, ...REST, 'yes']).said;
    const path = join(cwd, 'dewbeat.yaml');
    const before = readFileSync(path, 'utf8').replace('units: us', 'units: us # mine');
    writeFileSync(path, before);
    const { out, code } = await ask(cwd, ['supply', '420 gpm', '', 'done', 'yes']).said;
    expect(code).toBe(0);
    expect(out).toContain('-   pump_flow: 400 gpm\n+   pump_flow: 420 gpm');
    expect(readFileSync(path, 'utf8')).toBe(before.replace('400 gpm', '420 gpm'));
    const copies = readdirSync(cwd).filter((name) => name.endsWith('.old'));
    expect(copies).toHaveLength(1);
    expect(readFileSync(join(cwd, copies[0] ?? ''), 'utf8')).toBe(before);
    expect((await ask(cwd, ['done']).said).out).toContain('there was nothing to change');
  });

  it('writes people with hashes of PINs, and never the PIN', async () => {
    const cwd = scratchFolder();
    const people = ['people', 'A. Keeper', '', '1234', '246810', '24681', '246810', 'no', ''];
    const { said } = ask(cwd, [
      ...SITE,
      ...WEATHER,
      ...REST.slice(0, -2),
      ...people,
      'file',
      'yes',
    ]);
    const { out, code } = await said;
    expect(code).toBe(0);
    const text = readFileSync(join(cwd, 'dewbeat.yaml'), 'utf8');
    expect(text).toMatch(/name: A\. Keeper, role: keeper, pin: scrypt:/);
    for (const secret of ['246810', 'scrypt:']) expect(out).not.toContain(secret);
    expect(text).not.toContain('246810');
  });

  it('reads the head of a station file, and shows its last row', async () => {
    const cwd = scratchFolder();
    const rows = [3, 4, 5, 6].map((h) => `2026-07-01 0${h}:00,${60 + h},80,5,120,0`);
    writeFileSync(
      join(cwd, 'wx.csv'),
      `Time,Temp (°F),RH,Wind (mph),Solar (W/m²),Battery\n${rows.join('\n')}\n`,
    );
    const station = ['station', 'nowhere.csv', 'wx.csv', '', '', 'no', 'yes'];
    const { said } = ask(cwd, [...SITE, ...station, ...REST, 'yes']);
    const { out, code } = await said;
    expect(code).toBe(0);
    expect(out).toContain('cannot be read (got nowhere.csv)');
    expect(out).toContain('Not known here and left out: Battery');
    expect(out).toMatch(/Last row read: hour 2026-07-01 0\d:00, observed; air 6\d °F/);
  });
});
