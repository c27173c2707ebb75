import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import type { SiteDay } from '../../../../adapters/site-clock.ts';
import { loadConfigText } from '../../../../daemon/site/config/load.ts';
import { openWeather } from '../../../../daemon/site/config/open-weather.ts';
import { bedsAtOnce } from '../../../../daemon/studies/prospect/prospect.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat } from '../../command-line.ts';

const DAY_MS = 24 * 3_600_000;

/** Invented beds on invented usual days of each month; the pump is for each test to say. */
const config = (pump: string, beds: readonly number[]) => `
site: { id: prospect-bench, name: Prospect Bench (invented), latitude: 41.2, longitude: -40.5, elevation: 20 m, zone: Etc/GMT+3 }
units: metric
weather:
  source: outlook
  wind_height: 10 m
  usual:
${Array.from({ length: 12 }, (_, index) => {
  const warm = Math.round(16 - 12 * Math.cos(((index - 0.5) / 6) * Math.PI));
  return `    - { month: ${index + 1}, high: ${warm + 6} °C, low: ${warm - 6} °C, wind: 3 m/s, rain: 0 mm }`;
}).join('\n')}
outputs: [{ output: file, folder: out }]
supply: { pump_flow: ${pump} }
sands: { crest: { capacity: 0.8 mm } }
beds:
${beds.map((bed) => `  - { id: b${bed}, area: 450 m², sand: crest }`).join('\n')}
stations:
${beds.map((bed) => `  - { id: s${bed}, bed: b${bed}, flow: 30 L/min, rate: { stated: 2.4 mm/h }, rotation: 450 s, measured: true }`).join('\n')}
`;

async function prospect(pump: string, args: string) {
  const folder = scratchFolder();
  writeFileSync(join(folder, 'dewbeat.yaml'), config(pump, [1]));
  const given = { cwd: folder, nowMs: Date.parse('2026-03-01T00:00:00Z') };
  return dewbeat(['prospect', ...args.split(' ')], given);
}

describe('dewbeat prospect', () => {
  it('answers for each day of seeding, warmer ones sooner, in JSON', async () => {
    const said = await prospect('2000 L/min', '--dates 2026-07-01,2026-09-01 --format json');
    expect(said).toMatchObject({ code: 0 });
    const rows = JSON.parse(said.out);
    expect(rows.map((row: { seeded_on: string }) => row.seeded_on)).toEqual([
      '2026-07-01',
      '2026-09-01',
    ]);
    const [summer, autumn] = rows;
    expect(summer.first_green_least_days).toBeGreaterThanOrEqual(3);
    expect(summer.first_green_most_days).toBeLessThan(autumn.first_green_most_days);
    expect(summer.first_mow_least_days).toBeGreaterThan(summer.first_green_most_days);
    expect(summer.water_a_day_l).toBeGreaterThan(autumn.water_a_day_l);
    expect(summer.water_l / summer.followed_days).toBeCloseTo(summer.water_a_day_l, 0);
    expect(summer).toMatchObject({ beds: 1, supply_carries_all: true, beds_at_once: 1 });
    expect(summer.peak_flow_l_per_min).toBe(30);
  });

  it('prints a table that names what is assumed, and CSV with one row a date', async () => {
    const told = await prospect('2000 L/min', '--dates 2026-07-01');
    expect(told).toMatchObject({ code: 0 });
    expect(told.out).toMatch(/2026-07-01 +day \d+ to \d+ +day \d+ to \d+ .* yes, all 1/);
    expect(told.out).toContain('a typical year is no forecast');
    const spanish = await prospect('2000 L/min', '--dates 2026-07-01 --language es');
    expect(spanish.out).toMatch(/2026-07-01 +día \d+ a \d+ +día \d+ a \d+ .* sí, las 1/);
    const csv = await prospect('2000 L/min', '--dates 2026-07-01 --format csv');
    const [heading, row, ...more] = csv.out.split('\r\n');
    expect(heading).toMatch(/^seeded_on,first_green_least_days,/);
    expect(row?.split(',')).toHaveLength(heading?.split(',').length ?? 0);
    expect(more).toEqual([]);
  });

  it('refuses what is no day', async () => {
    const said = await prospect('2000 L/min', '--dates 2026-07-01,soon');
    expect(said).toMatchObject({ code: 2 });
    expect(said.err).toContain('--dates: no day (got soon)');
  });
});

describe('beds that a supply carries at once', () => {
  const day = '2026-07-01' as SiteDay;
  const carried = async (pump: string) => {
    const loaded = loadConfigText(config(pump, [1, 2, 3, 4]), {
      file: 'dewbeat.yaml',
      baseFolder: scratchFolder(),
    });
    if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
    const { clock } = loaded.config;
    const fromMs = clock.startOf(day) - 3 * DAY_MS;
    const toMs = fromMs + 7 * DAY_MS;
    const reading = await openWeather(loaded.config).read({ fromMs, toMs, nowMs: toMs });
    return bedsAtOnce(loaded.config, reading, day);
  };

  it('are all of them behind a large pump, and fewer behind one that runs a bed at a time', async () => {
    expect(await carried('2000 L/min')).toBe(4);
    const few = await carried('31 L/min');
    expect(few).toBeGreaterThanOrEqual(1);
    expect(few).toBeLessThan(4);
  });
});
