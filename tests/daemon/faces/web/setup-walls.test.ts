import { execFileSync } from 'node:child_process';
import { mkdirSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { outsideFolder } from '../../../../daemon/actions/setup/checked-answers.ts';
import { typedMains } from '../../../../daemon/actions/setup/typed-values.ts';
import type {
  SetupCheckView,
  SetupTrialView,
} from '../../../../daemon/faces/web/views/setup-view.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { type PageRig, pageRig } from './page-rig.ts';

const SECRET = 'hunter2';
const times = (count: number, text: (at: number) => string) =>
  Array.from({ length: count }, (_, at) => text(at)).join('');

/** A config's folder inside another one with a secret in it, and ways from one to the other. */
function folders() {
  const outside = scratchFolder();
  const base = join(outside, 'site');
  mkdirSync(join(base, 'deep'), { recursive: true });
  writeFileSync(join(outside, 'secret.csv'), `${SECRET}\n`);
  writeFileSync(join(base, 'wx.csv'), 'Time,Temp\n');
  symlinkSync(join(outside, 'secret.csv'), join(base, 'link.csv'));
  symlinkSync('..', join(base, 'deep', 'up'));
  symlinkSync('../../..', join(base, 'deep', 'out'));
  symlinkSync(join(outside, 'not-there'), join(base, 'dangling'));
  symlinkSync('loop', join(base, 'loop'));
  execFileSync('mkfifo', [join(base, 'pipe')]);
  symlinkSync('/dev/zero', join(base, 'zero'));
  return { outside, base };
}

describe('files that the set-up may name', () => {
  it.each([
    ['wx.csv', null],
    ['./deep/../wx.csv', null],
    ['new.csv', null],
    ['new/folder/new.csv', null],
    ['deep/up/wx.csv', null],
    ['../secret.csv', 'lies outside'],
    ['/etc/passwd', 'lies outside'],
    ['deep/../../secret.csv', 'lies outside'],
    ['link.csv', 'leads out of the config'],
    ['deep/out/secret.csv', 'leads out of the config'],
    ['deep/out/new.csv', 'leads out of the config'],
    ['dangling', 'cannot be followed (got dangling: ENOENT)'],
    ['dangling/new.csv', 'cannot be followed'],
    ['loop', 'cannot be followed (got loop: ELOOP)'],
    ['pipe', 'is a pipe (got pipe); name a plain file'],
    ['zero', 'leads out of the config'],
    ['deep', 'is a folder (got deep); name a plain file'],
  ])('%s: %s', (file, why) => {
    const { base } = folders();
    const [found] = outsideFolder(
      { weather: { source: 'csv', file } },
      { old: null, baseFolder: base },
    );
    if (why === null) expect(found).toBeUndefined();
    else
      expect(found).toMatchObject({ path: 'weather.file', message: expect.stringContaining(why) });
  });

  it('are those inside, and those that the config names already under the same key', () => {
    const { base } = folders();
    const old = { weather: { file: '../secret.csv' }, outputs: [{ password_file: '/run/secret' }] };
    const asked = (answers: unknown) => outsideFolder(answers, { old, baseFolder: base });
    expect(asked({ weather: { file: '../secret.csv' } })).toEqual([]);
    expect(asked({ outputs: [{ password_file: '/run/secret' }] })).toEqual([]);
    // A secret's file is no weather file.
    expect(asked({ weather: { file: '/run/secret' } })).toHaveLength(1);
    expect(asked({ outputs: [{ folder: 'wx.csv' }] })).toMatchObject([
      { path: 'outputs[#1].folder', message: 'is no folder (got wx.csv); name a folder' },
    ]);
  });

  it('are looked for by a link to the folder itself as well', () => {
    const { outside, base } = folders();
    symlinkSync(base, join(outside, 'current'));
    const given = { old: null, baseFolder: join(outside, 'current') };
    expect(outsideFolder({ weather: { file: 'wx.csv' } }, given)).toEqual([]);
    expect(outsideFolder({ weather: { file: 'link.csv' } }, given)).toHaveLength(1);
  });
});

describe('a trial of weather at the page', () => {
  const trial = async (rig: PageRig, weather: unknown) =>
    JSON.parse(
      (await rig.post('/api/setup/try-weather', { answers: { weather } })).text,
    ) as SetupTrialView;
  const csv = (file: string, column: string) => ({
    source: 'csv',
    file,
    stamps: 'hour_ending',
    wind_height: '2 m',
    time: { form: 'iso', column: 'time' },
    columns: { air_temp: { column, unit: '°C' } },
  });

  it('shows nothing of a file that is no weather', async () => {
    const rig = await pageRig();
    const { baseFolder } = rig.config;
    const put = (name: string, text: string) => writeFileSync(join(baseFolder, name), text);
    put('plain', `${SECRET}\n`);
    put('rows.csv', `time,temp\n${SECRET},${SECRET}\n`);
    put('heads.csv', `${SECRET},other\n1,2\n`);
    put('cells.csv', `time,temp\n2026-07-01T05:00:00Z,${SECRET}\n2026-07-01T06:00:00Z,20\n`);
    for (const weather of [
      { source: 'epw', file: 'plain' },
      { source: 'station_file', file: 'plain' },
      { source: 'station_file', file: 'heads.csv' },
      csv('plain', 'temp'),
      csv('rows.csv', 'temp'),
      csv('heads.csv', 'temp'),
      csv('heads.csv', 'hunter'),
      csv('cells.csv', 'temp'),
      { source: 'outlook', wind_height: '10 m', file: { path: 'plain' } },
    ]) {
      const { lines } = await trial(rig, weather);
      expect(lines.length).toBeGreaterThan(0);
      expect(lines.join('\n'), JSON.stringify(weather)).not.toContain(SECRET);
    }
    const { lines } = await trial(rig, csv('heads.csv', 'temp'));
    expect(lines[0]).toMatch(/there is no column "time" \(got \(hidden\)\)/);
  });

  it('opens no pipe, and follows no link out of the folder', async () => {
    const rig = await pageRig();
    const { baseFolder } = rig.config;
    execFileSync('mkfifo', [join(baseFolder, 'pipe')]);
    symlinkSync('/etc/hostname', join(baseFolder, 'link'));
    for (const source of ['csv', 'epw', 'station_file']) {
      const said = await trial(rig, { ...csv('pipe', 'temp'), source });
      expect(said.lines).toEqual(['weather.file: is a pipe (got pipe); name a plain file']);
      const linked = await trial(rig, { ...csv('link', 'temp'), source });
      expect(linked.lines[0]).toContain('weather.file: leads out of the config');
    }
  });

  it('reads the head of an export of any size', async () => {
    const rig = await pageRig();
    const row = (at: number) =>
      `${new Date(Date.UTC(2026, 5, 1) + at * 60_000).toISOString()},61\n`;
    writeFileSync(join(rig.config.baseFolder, 'wx.csv'), `Time,Temp (°F)\n${times(120_000, row)}`);
    const answers = { weather: { source: 'station_file', file: 'wx.csv' } };
    const said = await rig.post('/api/setup/check', { answers });
    expect((JSON.parse(said.text) as SetupCheckView).told.join('\n')).toContain(
      'Temp (°F) as air_temp',
    );
  });
});

describe('a check of the set-up', () => {
  const asked = async (rig: PageRig, answers: unknown) => {
    const begun = performance.now();
    const said = await rig.post('/api/setup/check', { answers });
    return { ...said, tookMs: performance.now() - begun };
  };

  it('of thousands of unknown keys is refused at once by one problem', async () => {
    const rig = await pageRig();
    await asked(rig, {});
    const keys = Object.fromEntries(Array.from({ length: 9_000 }, (_, at) => [`k${at}`, 1]));
    for (const [answers, path] of [
      [keys, 'answers'],
      [{ site: keys }, 'answers.site'],
      [{ beds: [keys] }, 'answers.beds[#1]'],
    ]) {
      const { status, body } = await asked(rig, answers);
      expect(status).toBe(400);
      expect(body).toEqual({
        code: 'bad_request',
        message: `${path}: has too many keys (got 9000); keep to 200 keys at most`,
      });
      // What it costs by itself, and not what else this machine has to do meanwhile.
      const again = [];
      for (let turn = 0; turn < 5; turn += 1) again.push((await asked(rig, answers)).tookMs);
      expect(Math.min(...again)).toBeLessThan(100);
    }
  });

  it('of values inside one another, of long lists and of many problems is bounded too', async () => {
    const rig = await pageRig();
    const deep = JSON.parse(`${'['.repeat(2_000)}${']'.repeat(2_000)}`) as unknown;
    expect((await asked(rig, { site: { name: deep } })).body.message).toContain('lies too deep');
    const list = Array.from({ length: 5_001 }, () => 1);
    expect((await asked(rig, { beds: list })).body.message).toContain('has too many entries');
    const people = Array.from({ length: 100 }, () => ({ pin: 1 }));
    const lines = (await asked(rig, { people })).body.message?.split('\n') ?? [];
    expect(lines).toHaveLength(31);
    expect(lines.at(-1)).toBe('and 170 more; mend these first');
  });

  it.each([
    ['rows', times(3_000, (at) => `${at};1\n`), 'has too many rows (got more than 2000)'],
    ['cells', `Green${';1'.repeat(101)}\n`, 'has a row of too many cells (got 102)'],
    [
      'letters',
      `Green\n${'['.repeat(50_000)}\n`,
      'has a cell that is too long (got 50000 letters)',
    ],
  ])('tells of a pasted table of too many %s', async (_, beds, words) => {
    const rig = await pageRig();
    const { text, tookMs } = await asked(rig, { beds });
    const { problems } = JSON.parse(text) as SetupCheckView;
    expect(problems[0]).toMatchObject({ path: 'beds', message: expect.stringContaining(words) });
    expect(tookMs).toBeLessThan(5_000);
  });

  it('takes as many beds and stations as fit, within seconds', { timeout: 30_000 }, async () => {
    const rig = await pageRig();
    const beds = `Green; Area\n${times(1_999, (at) => `g${at};9\n`)}`;
    const stations = `Valve; Green\n${times(1_999, (at) => `${at};x${at}\n`)}`;
    const { status, tookMs } = await asked(rig, { beds, stations });
    expect(status).toBe(200);
    expect(tookMs).toBeLessThan(15_000);
  });

  it('reads mains and coordinates of any length at once', async () => {
    const begun = performance.now();
    expect(typedMains(','.repeat(100_000))).toContain('is too long (got 100000 letters)');
    expect(typedMains('a 1 gpm;'.repeat(101))).toContain('is too long');
    const rig = await pageRig();
    const { text } = await asked(rig, { site: { position: 'N '.repeat(50_000) } });
    expect(text).toContain('is too long');
    expect(performance.now() - begun).toBeLessThan(5_000);
  });
});
