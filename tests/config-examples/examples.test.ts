import { cpSync, readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, it } from 'vitest';
import { loadConfig } from '../../daemon/site/config/load.ts';
import { problemText } from '../../daemon/site/config/problems.ts';
import { dewbeat } from '../daemon/command-line.ts';
import { scratchFolder } from '../scratch-site.ts';

const FOLDER = fileURLToPath(new URL('../../config-examples/', import.meta.url));
const EXAMPLES = readdirSync(FOLDER).filter((name) => name.endsWith('.yaml'));

/** No test asks a real service: its address becomes a port on which nobody listens. */
function leadNowhere(path: string): void {
  const text = readFileSync(path, 'utf8');
  writeFileSync(path, text.replace(/https:\/\/[^/]+/, 'http://127.0.0.1:2'));
}

describe('the example configs', () => {
  it('are those that the README speaks of', () => {
    expect([...EXAMPLES].sort()).toEqual([
      'forecast-http.yaml',
      'full.yaml',
      'greens-18.yaml',
      'minimal.yaml',
      'mqtt.yaml',
      'with-stations-csv.yaml',
    ]);
  });

  it.each(EXAMPLES)('%s loads without a problem', (name) => {
    const result = loadConfig(join(FOLDER, name));
    expect(result.ok ? [] : result.problems.map(problemText)).toEqual([]);
  });

  it.each(readdirSync(FOLDER).filter((name) => /\.(yaml|csv)$/.test(name)))(
    '%s says at its top that it is invented',
    (name) => {
      const head = readFileSync(join(FOLDER, name), 'utf8').split('\n').slice(0, 3).join(' ');
      expect(head).toMatch(/^# .*invented/);
    },
  );

  it('keep what they remember apart', () => {
    const folders = EXAMPLES.map((name) => {
      const result = loadConfig(join(FOLDER, name));
      return result.ok ? result.config.dataFolder : name;
    });
    expect(new Set(folders).size).toBe(EXAMPLES.length);
  });
});

describe('each example', () => {
  it.each(EXAMPLES)('%s has the sun of its place by its clock', (name) => {
    const result = loadConfig(join(FOLDER, name));
    if (!result.ok) throw new Error('the example does not load');
    const { clock, site } = result.config;
    const noonMs = clock.instantOf({ year: 2026, month: 1, day: 15, hour: 12, minute: 0 });
    const sunHour = (noonMs / 3_600_000 + site.longitudeDeg / 15) % 24;
    // Half a zone, an hour of summer time and the bends of zones at sea.
    expect(Math.abs(sunHour - 12)).toBeLessThan(1.75);
  });

  // A winter and a summer day; one of them years after any date in the files.
  const DATES = ['2026-01-15', '2031-07-15'];

  it.each(EXAMPLES)('%s plans without a network, whatever the date', async (name) => {
    // One folder for both days: what was worked out of a laboratory report is kept there.
    const cwd = scratchFolder();
    cpSync(FOLDER, cwd, {
      recursive: true,
      filter: (path) => !path.includes('dewbeat-data'),
    });
    const fetches = name === 'forecast-http.yaml';
    if (fetches) leadNowhere(join(cwd, name));
    const loaded = loadConfig(join(cwd, name));
    if (!loaded.ok) throw new Error('the example does not load');
    let cycles = 0;
    for (const date of DATES) {
      const [year = 0, month = 0, day = 0] = date.split('-').map(Number);
      const nowMs = loaded.config.clock.instantOf({ year, month, day, hour: 4, minute: 0 });
      const said = await dewbeat(['plan', '-c', name], { cwd, nowMs });
      expect(said.err).toBe('');
      expect(said.code).toBe(0);
      expect(said.out).toContain(`${loaded.config.site.name}   ${date}   plan 1`);
      const standsIn = 'it cannot be reached (got ECONNREFUSED)';
      expect(said.out).toContain(fetches ? standsIn : 'weather: daily outlook typed in the config');
      for (const bed of loaded.config.site.beds) expect(said.out).toContain(bed.name);
      cycles += [...said.out.matchAll(/^\d\d:\d\d {2}(rise|set) [+-] \d/gm)].length;
    }
    // A plan that waters nothing on either day would show little.
    expect(cycles).toBeGreaterThan(0);
  });
});
