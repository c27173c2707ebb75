import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { LoadedConfig } from '../../daemon/site/config/config.ts';
import { loadConfig } from '../../daemon/site/config/load.ts';
import { problemText } from '../../daemon/site/config/problems.ts';
import { freePort } from '../broker.ts';

/** An invented site at which it is early morning now, written into a folder as its config. */
export async function earlySite(
  folder: string,
  asked: { outputs: readonly string[]; beds?: number; dataFolder?: string },
): Promise<LoadedConfig> {
  const offsetH = ((6 - new Date().getUTCHours() + 36) % 24) - 12;
  const zone = offsetH === 0 ? 'Etc/GMT' : `Etc/GMT${offsetH > 0 ? '-' : '+'}${Math.abs(offsetH)}`;
  const usual = Array.from(
    { length: 12 },
    (_, month) => `{ month: ${month + 1}, high: 30 °C, low: 18 °C, wind: 3 m/s, rain: 0 mm }`,
  );
  const numbers = Array.from({ length: asked.beds ?? 2 }, (_, index) => index + 1);
  const file = join(folder, 'dewbeat.yaml');
  const text = [
    `site: { id: fen-edge, name: Fen Edge (invented), latitude: 10, longitude: ${offsetH * 15}, elevation: 30 m, zone: ${zone} }`,
    'morning: { at: "00:30" }',
    ...(asked.dataFolder === undefined ? [] : [`data_folder: ${asked.dataFolder}`]),
    `page: { port: ${await freePort()} }`,
    `weather: { source: outlook, wind_height: 10 m, usual: [${usual.join(', ')}] }`,
    'supply: { pump_flow: 500 L/min }',
    'sands: { crest: { capacity: 1.2 mm } }',
    'beds:',
    ...numbers.map(
      (n) =>
        `  - { id: g${n}, area: 400 m², sand: crest, water_before_seeding: true${n % 2 === 0 ? ', exposure: 90 %' : ''} }`,
    ),
    'stations:',
    ...numbers.map(
      (n) => `  - { id: s${n}, bed: g${n}, flow: 200 L/min, rate: { stated: 18 mm/h } }`,
    ),
    'outputs:',
    ...asked.outputs.map((line) => `  - ${line}`),
    '',
  ].join('\n');
  writeFileSync(file, text);
  const result = loadConfig(file);
  if (!result.ok) throw new Error(result.problems.map(problemText).join('\n'));
  return result.config;
}
