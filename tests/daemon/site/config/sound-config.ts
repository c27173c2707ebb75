import type { LoadedConfig } from '../../../../daemon/site/config/config.ts';
import { loadConfigText } from '../../../../daemon/site/config/load.ts';
import { problemText } from '../../../../daemon/site/config/problems.ts';

/** A sound config of an invented site, by its lines, so that a test can spoil one of them. */
export const SOUND_LINES: readonly string[] = [
  'site: { id: fen-edge, name: Fen Edge (invented), latitude: 40, longitude: -75, elevation: 30 m, zone: America/New_York }',
  'weather: { source: outlook, wind_height: 10 m, usual: [{ month: 7, high: 30 °C, low: 18 °C, wind: 3 m/s, rain: 0 mm }] }',
  'supply: { pump_flow: 900 L/min, mains: [{ id: m1, flow: 600 L/min }] }',
  'beds:',
  '  - { id: g1, area: 5000 ft² }',
  '  - { id: g2, area: 400 m² }',
  'stations:',
  '  - { id: s1, bed: g1, main: m1, flow: 27.4 gpm, rate: { stated: 0.72 in/h } }',
  '  - { id: s2, bed: g2, flow: 200 L/min, rate: { stated: 18 mm/h } }',
];

/** The sound config with some lines (counted from 1) put in place of others, and more at the end. */
export function configText(changes: Record<number, string> = {}, more: string[] = []): string {
  const lines = SOUND_LINES.map((line, index) => changes[index + 1] ?? line);
  return [...lines, ...more, ''].join('\n');
}

/** The loaded config; fails the test when it is not sound. */
export function loadSound(text: string): LoadedConfig {
  const result = loadConfigText(text, { file: 'site.yaml', baseFolder: '/srv/fen-edge' });
  if (!result.ok) throw new Error(result.problems.map(problemText).join('\n'));
  return result.config;
}

/** Every problem of a text, as a person reads it. */
export function problemsOf(text: string): string[] {
  const result = loadConfigText(text, { file: 'site.yaml', baseFolder: '/srv/fen-edge' });
  return result.ok ? [] : result.problems.map(problemText);
}
