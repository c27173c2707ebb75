import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type {
  SetupCheckView,
  SetupSandView,
  SetupTrialView,
  SetupView,
} from '../../../../daemon/faces/web/views/setup-view.ts';
import { loadConfig } from '../../../../daemon/site/config/load.ts';
import { pinHash } from '../../../../daemon/site/config/pin-hash.ts';
import { lastAuditEntries } from '../../../../daemon/site/store/audit-log.ts';
import { type PageRig, pageRig } from './page-rig.ts';

const ANSWERS = {
  site: {
    name: 'Tern Flats (invented)',
    position: "33°30'N 42°06'W",
    elevation: '12 m',
    zone: 'Etc/GMT+3',
  },
  units: 'metric',
  weather: {
    source: 'outlook',
    wind_height: '10 m',
    usual: [{ month: 7, high: '29 °C', low: '18 °C', wind: '3 m/s', rain: '0 mm' }],
  },
  supply: { pump_flow: '1500 L/min', mains: 'loop 900 L/min' },
  beds: 'Green; Area\nGreen 1; 450\nGreen 2; 410,5',
  stations:
    'Valve; Green; Flow; Rate; Main\n1; Green 1; 200; 18; loop\n2; Green 2; 200; 18,5; loop',
  people: [{ name: 'A. Keeper', role: 'keeper', pin: '246810' }],
};

async function check(rig: PageRig, answers: unknown): Promise<SetupCheckView> {
  const answered = await rig.post('/api/setup/check', { answers });
  expect(answered.status).toBe(200);
  return JSON.parse(answered.text) as SetupCheckView;
}

describe('the set-up behind the page', () => {
  it('makes a first config beside the demo, exactly the one that was shown', async () => {
    const rig = await pageRig();
    const view = JSON.parse((await rig.get('/api/setup')).text) as SetupView;
    expect(view).toMatchObject({ isNew: true, weather: null, people: [] });
    const seen = await check(rig, ANSWERS);
    expect(seen).toMatchObject({ problems: [], changed: true });
    expect(seen.shown).toContain('pin: (hidden)');
    expect(JSON.stringify(seen)).not.toMatch(/scrypt:|246810/);
    const before = readdirSync(rig.config.baseFolder);
    expect((await rig.post('/api/setup/write', { digest: seen.digest })).body.code).toBe(
      'name_missing',
    );
    expect(readdirSync(rig.config.baseFolder)).toEqual(before);
    const written = await rig.post('/api/setup/write', { digest: seen.digest, who: 'A. Keeper' });
    expect(written.body.lines?.at(-1)).toContain('stop the daemon and start it again');
    const path = join(rig.config.baseFolder, 'dewbeat.yaml');
    const text = readFileSync(path, 'utf8');
    expect(text.replace(/scrypt:\S+(?= )/, '(hidden)')).toBe(seen.shown);
    expect(loadConfig(path).ok).toBe(true);
    expect(lastAuditEntries(rig.db, 1)[0]).toMatchObject({
      kind: 'config_written',
      who: 'A. Keeper',
    });
    const again = JSON.parse((await rig.get('/api/setup')).text) as SetupView;
    expect(again).toMatchObject({
      isNew: false,
      fields: { position: '33.5, -42.1', mains: 'loop 900 L/min' },
      people: [{ name: 'A. Keeper', role: 'keeper' }],
    });
    expect(again.fields.stations).toContain('2; green-2; loop; 200 L/min; 18.5 mm/h');
    expect(JSON.stringify(again)).not.toContain('scrypt:');
    expect(
      await check(rig, {
        beds: again.fields.beds,
        stations: again.fields.stations,
        people: [{ name: 'A. Keeper', role: 'keeper' }],
      }),
    ).toMatchObject({
      problems: [],
      changed: false,
    });
  });

  it('writes nothing that was not shown, or that lies over another file than was shown', async () => {
    const rig = await pageRig();
    const unknown = await rig.post('/api/setup/write', {
      digest: 'a'.repeat(64),
      who: 'A. Keeper',
    });
    expect(unknown.body.message).toContain('no longer known');
    const seen = await check(rig, ANSWERS);
    const path = join(rig.config.baseFolder, 'dewbeat.yaml');
    writeFileSync(path, 'units: us\n');
    const late = await rig.post('/api/setup/write', { digest: seen.digest, who: 'A. Keeper' });
    expect(late).toMatchObject({ status: 409 });
    expect(late.body.message).toContain('has changed since it was read');
    expect(readFileSync(path, 'utf8')).toBe('units: us\n');
  });

  it('tells each problem by its path, and gives no digest for it', async () => {
    const rig = await pageRig();
    const seen = await check(rig, {
      ...ANSWERS,
      site: { ...ANSWERS.site, position: 'north of here' },
      supply: { pump_flow: '1500', mains: 'loop' },
      beds: 'Green; Area\nGreen 1; 5,000',
      outputs: [{ output: 'file', folder: '/etc' }],
    });
    expect(seen.digest).toBeNull();
    const paths = seen.problems.map(({ path }) => path);
    expect(paths).toEqual(
      expect.arrayContaining([
        'site.position',
        'supply.pump_flow',
        'supply.mains',
        'beds',
        'outputs[#1].folder',
      ]),
    );
  });

  it('tries weather out without keeping it, and names no file outside', async () => {
    const rig = await pageRig();
    const ask = async (weather: unknown) =>
      JSON.parse(
        (await rig.post('/api/setup/try-weather', { answers: { ...ANSWERS, weather } })).text,
      ) as SetupTrialView;
    expect((await ask(ANSWERS.weather)).row[1]).toMatchObject({ name: 'air' });
    expect(await ask({ source: 'epw', file: '/etc/passwd' })).toMatchObject({ ok: false, row: [] });
    expect((await ask({ source: 'epw', file: '../x.epw' })).lines[0]).toContain('outside');
    expect((await ask({ source: 'epw', file: 'x.epw' })).ok).toBe(false);
    const wx = (heading: string) =>
      writeFileSync(
        join(rig.config.baseFolder, 'wx.csv'),
        `${heading},Battery\n2026-07-01T05:00:00Z,61,90\n2026-07-01T06:00:00Z,62,90\n`,
      );
    wx('Time,Temp');
    const bare = await ask({ source: 'station_file', file: 'wx.csv' });
    expect(bare.lines[0]).toContain('has a column without a unit that fits (got Temp)');
    wx('Time,Temp (°F)');
    const read = await ask({ source: 'station_file', file: 'wx.csv' });
    expect(read).toMatchObject({ ok: true });
    expect(read.lines.join('\n')).toContain('column Battery is not known here');
    expect(read.row[1]).toEqual({ name: 'air', value: '16.7 °C' });
    expect((await ask({ source: 'outlook' })).lines[0]).toContain(
      'weather.wind_height: is missing',
    );
  });

  it('dries a sand down, a class or a report', async () => {
    const rig = await pageRig();
    const dry = async (sand: unknown) =>
      JSON.parse((await rig.post('/api/setup/sand', { sand })).text) as SetupSandView;
    const open = await dry('medium_open');
    expect(open.points[0]).toEqual({ hours: 0, fullPct: 100 });
    expect(open.points.at(-1)?.hours).toBeCloseTo(open.dryAfterH ?? 0, 9);
    const falls = open.points.every(
      ({ fullPct }, index) => fullPct <= (open.points[index - 1]?.fullPct ?? 100),
    );
    expect(falls).toBe(true);
    const lab = {
      total_porosity: '40 %',
      capillary_porosity: '15 %',
      saturated_conductivity: '300 mm/h',
      under: 'open',
    };
    expect((await dry({ lab })).lines.at(-1)).toContain('misses the report');
    expect((await rig.post('/api/setup/sand', { sand: 'beach' })).status).toBe(400);
  });

  it('is for keepers alone', async () => {
    const pins = { keeper: await pinHash('123456'), watcher: await pinHash('654321') };
    const rig = await pageRig((config) => ({
      ...config,
      page: {
        ...config.page,
        people: [
          { name: 'A. Keeper', pin: pins.keeper, role: 'keeper', language: 'en' },
          { name: 'B. Watcher', pin: pins.watcher, role: 'watcher', language: 'en' },
        ],
      },
    }));
    const tries = async (cookie: Record<string, string>) => [
      (await rig.get('/api/setup', cookie)).status,
      (await rig.post('/api/setup/check', { answers: {} }, cookie)).status,
      (await rig.post('/api/setup/try-weather', { answers: {} }, cookie)).status,
      (await rig.post('/api/setup/sand', { sand: 'medium_open' }, cookie)).status,
      (await rig.post('/api/setup/write', { digest: 'a'.repeat(64), who: 'x' }, cookie)).status,
    ];
    expect(await tries({})).toEqual([401, 401, 401, 401, 401]);
    const { headers } = await rig.post('/api/sign-in', { name: 'B. Watcher', pin: '654321' });
    const cookie = String(headers['set-cookie']).split(';')[0] ?? '';
    expect(await tries({ cookie })).toEqual([403, 403, 403, 403, 403]);
  });
});
