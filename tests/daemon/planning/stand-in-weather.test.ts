import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { scratchFolder } from '../../scratch-site.ts';
import { dewbeat } from '../command-line.ts';

const HOUR_MS = 3_600_000;
const NOW_MS = Date.parse('2026-07-10T05:00:00Z');

const CONFIG = (weather: string) => `
site: { id: gull-flat, name: Gull Flat (invented), latitude: 40, longitude: 0, elevation: 20 m, zone: Etc/UTC }
${weather}
supply: { pump_flow: 800 L/min }
outputs: [{ output: file, folder: out }]
beds: [{ id: bed-a, area: 450 m², sand: medium_over_gravel, water_before_seeding: true }]
stations: [{ id: a1, bed: bed-a, flow: 200 L/min, rate: { stated: 16 mm/h }, rotation: 120 s, measured: true }]
`;

const STATION = `source: csv, file: station.csv, stamps: hour_ending, wind_height: 2 m, time: { form: iso, column: t }, columns: { air_temp: { column: c, unit: °C }, wind: { column: w, unit: m/s } }`;
const USUAL = 'usual: [{ month: 7, high: 30 °C, low: 18 °C, wind: 3 m/s, rain: 0 mm }]';
const OUTLOOK =
  'source: outlook, wind_height: 10 m, days: [{ day: "2026-07-10", high: 31 °C, low: 17 °C, wind: 4 m/s, rain: 0 mm }, { day: "2026-07-11", high: 31 °C, low: 17 °C, wind: 4 m/s, rain: 0 mm }]';

/** An invented station's hours up to some hours before now. */
function rows(hours: number, agoH: number): string {
  const lines = Array.from({ length: hours }, (_, index) => {
    const atMs = NOW_MS - (agoH + hours - 1 - index) * HOUR_MS;
    const hour = new Date(atMs).getUTCHours();
    const tempC = 24 + 6 * Math.sin(((hour - 9) * Math.PI) / 12);
    return `${new Date(atMs).toISOString()},${tempC.toFixed(1)},${(3 + Math.sin(hour)).toFixed(1)}`;
  });
  return `t,c,w\n${lines.join('\n')}\n`;
}

async function planned(weather: string, station?: string) {
  const cwd = scratchFolder();
  writeFileSync(join(cwd, 'dewbeat.yaml'), CONFIG(weather));
  if (station !== undefined) writeFileSync(join(cwd, 'station.csv'), station);
  const said = await dewbeat(['plan'], { cwd, nowMs: NOW_MS });
  const confirm = /npx dewbeat (confirm .*)$/m.exec(said.out)?.[1] ?? '';
  const cautions = /--caution (.*)$/.exec(confirm)?.[1]?.split(' ') ?? [];
  const revision = /--revision (\d+) --digest (\w+)/.exec(confirm);
  const tell = (ticked: string[]) =>
    dewbeat(
      [
        ...['confirm', '--revision', revision?.[1] ?? '', '--digest', revision?.[2] ?? ''],
        ...['--who', 'A. Keeper', '--caution', ...ticked],
      ],
      { cwd, nowMs: NOW_MS },
    );
  return { ...said, cautions, tell };
}

describe('a plan on weather that nobody measured or foretold', () => {
  it('asks for three cautions where a station and an outlook speak, and shows who told what', async () => {
    const plan = await planned(
      `weather: { observed: { ${STATION} }, forecast: { ${OUTLOOK} } }`,
      rows(72, 0),
    );
    expect(plan.err).toBe('');
    expect(plan.cautions).toEqual(['turf_clear', 'no_injector_armed', 'covers_off']);
    expect(plan.out).toContain('19 h forecast: daily outlook typed in the config');
    expect(plan.out).not.toMatch(/stands in/);
    expect((await plan.tell(plan.cautions)).code).toBe(0);
  });

  it('takes yesterday for today where there is no forecast, and asks for the fourth', async () => {
    const plan = await planned(`weather: { ${STATION} }`, rows(72, 0));
    expect(plan.out).toMatch(/No forecast for \d+ h: an earlier day's weather stands in/);
    expect(plan.cautions).toContain('weather_stands_in');
    expect((await plan.tell(plan.cautions.slice(0, 3))).err).toContain('missing weather_stands_in');
    expect((await plan.tell(plan.cautions)).code).toBe(0);
  });

  it('refuses a reading that is too old for now, and says how old it is', async () => {
    const plan = await planned(`weather: { ${STATION} }`, rows(72, 5));
    expect(plan.out).toContain(
      'station export station.csv is 5.0 h old (of 00:00, over its 3 h): it is not taken for now',
    );
    const patient = await planned(`weather: { ${STATION}, stale_after: 6 h }`, rows(72, 5));
    expect(patient.out).not.toContain('h old (of');
  });

  it('takes the usual day of the month where no earlier day speaks either', async () => {
    const plan = await planned(`weather: { ${STATION}, ${USUAL} }`, rows(24, 24 * 9));
    expect(plan.out).toContain('your usual day of the month stands in');
    expect(plan.out).toContain('19 h usual: usual day of the month');
    expect(plan.cautions).toContain('weather_stands_in');
  });

  it('plans on the usual day when the file is not there at all', async () => {
    const plan = await planned(`weather: { ${STATION}, ${USUAL} }`);
    expect(plan.out).toContain('there is no such file (got ENOENT)');
    expect(plan.cautions).toContain('weather_stands_in');
  });

  it('names a check that a value failed', async () => {
    const lines = rows(72, 0).split('\n');
    const spiked = lines.map((line, i) => (i === 50 ? line.replace(/,[\d.]+,/, ',56,') : line));
    const plan = await planned(`weather: { ${STATION} }`, spiked.join('\n'));
    expect(plan.err).toBe('');
    expect(plan.out).toMatch(/Weather check step: .*air temperature leaps and back again \(got 56/);
  });
});
