import { describe, expect, it } from 'vitest';
import { configText, loadSound, problemsOf } from './sound-config.ts';

const supply = (keys: string) =>
  configText({
    3: `supply: { pump_flow: 900 L/min, mains: [{ id: m1, flow: 600 L/min }], ${keys} }`,
  });

describe('the rest of the pump', () => {
  it('is none by default, and read in seconds', () => {
    expect(loadSound(configText()).site.limits.pumpRestS).toBe(0);
    expect(loadSound(supply('pump_rest: 5 min')).site.limits.pumpRestS).toBe(300);
  });

  it('is refused where the pump would stop between two stations of one cycle', () => {
    const gap = 'start_gap: 90 s, least_run: 60 s';
    expect(problemsOf(supply(gap))).toEqual([]);
    expect(problemsOf(supply(`${gap}, pump_rest: 5 min`))).toEqual([
      expect.stringMatching(
        /^site\.yaml:3:\d+ supply\.pump_rest: cannot be kept within a cycle.*\(got start_gap 90 s, least_run 60 s\); make start_gap no longer/,
      ),
    ]);
  });
});

describe('the longest run', () => {
  it('is 30 min by default', () => {
    expect(loadSound(configText()).site.limits.mostRunS).toBe(1800);
    expect(loadSound(supply('most_run: 1 h')).site.limits.mostRunS).toBe(3600);
  });

  it('is no shorter than a rotation or the shortest run', () => {
    expect(problemsOf(supply('most_run: 2 min, least_run: 150 s'))).toEqual([
      expect.stringMatching(
        /supply\.least_run: is longer than the longest run \(got 150 s, most_run 120 s\); correct one/,
      ),
      expect.stringMatching(
        /stations\[s1\]\.rotation: is longer than the longest run \(got 180 s, most_run 120 s\); correct one/,
      ),
      expect.stringMatching(/stations\[s2\]\.rotation/),
    ]);
    expect(problemsOf(supply('most_run: 5 h'))).toEqual([
      expect.stringContaining('is too large (got 5 h); use 14400 s or less, or 5 min if meant'),
    ]);
  });
});

describe('the allowance of a season', () => {
  const rules = (keys: string) => configText({}, [`rules: { ${keys} }`]);

  it('is none by default, and its season begins with the year', () => {
    const config = loadSound(configText());
    expect(config.site.limits.seasonAllowanceL).toBeNull();
    expect(config.seasonFrom).toBe('01-01');
    const other = loadSound(rules('season_allowance: 1200 m³, season_from: "04-01"'));
    expect(other.site.limits.seasonAllowanceL).toBe(1_200_000);
    expect(other.seasonFrom).toBe('04-01');
  });

  it('begins on a day that every year has', () => {
    for (const day of ['02-29', '13-01', 'April']) {
      expect(problemsOf(rules(`season_from: "${day}"`)).join()).toContain(
        `is no day that every year has (got ${day}); write it like "04-01"`,
      );
    }
  });
});
