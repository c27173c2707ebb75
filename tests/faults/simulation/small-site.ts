import type { WeatherSource } from '../../../adapters/weather/source.ts';
import type { LoadedConfig } from '../../../daemon/site/config/config.ts';
import { loadConfigText } from '../../../daemon/site/config/load.ts';
import { problemText } from '../../../daemon/site/config/problems.ts';

const HOUR_MS = 3_600_000;
const FIELD = 'field';
const CLIPBOARD = 'clipboard';

/** The outputs of the invented site. */
export const OUTPUTS = [FIELD, CLIPBOARD] as const;

/** An invented site of two beds in a zone that changes its clocks. */
export function smallSite(baseFolder: string): LoadedConfig {
  const text = [
    'site: { id: fen-edge, name: Fen Edge (invented), latitude: 40, longitude: -75, elevation: 30 m, zone: America/New_York }',
    'weather: { source: outlook, wind_height: 10 m, usual: [{ month: 7, high: 30 °C, low: 18 °C, wind: 3 m/s, rain: 0 mm }] }',
    'supply: { pump_flow: 500 L/min }',
    'sands: { crest: { capacity: 2.4 mm } }',
    'beds:',
    '  - { id: g1, area: 400 m², sand: crest, water_before_seeding: true }',
    '  - { id: g2, area: 400 m², sand: crest, water_before_seeding: true, exposure: 90 % }',
    'stations:',
    '  - { id: s1, bed: g1, flow: 200 L/min, rate: { stated: 18 mm/h } }',
    '  - { id: s2, bed: g2, flow: 200 L/min, rate: { stated: 18 mm/h } }',
    // Often enough for every history to have some, seldom enough to live through many histories.
    'revisions: { every: 60 min }',
    'outputs:',
    `  - { output: file, name: ${FIELD}, folder: ./field }`,
    `  - { output: file, name: ${CLIPBOARD}, folder: ./clipboard }`,
    '',
  ].join('\n');
  const result = loadConfigText(text, { file: 'site.yaml', baseFolder });
  if (!result.ok) throw new Error(result.problems.map(problemText).join('\n'));
  return result.config;
}

/**
 * Invented weather: every day mild, with a breeze in the afternoon; some days hotter than foretold.
 *
 * @param hotterK By how much an hour turns out hotter than it is foretold, K.
 * @param silentMs From when on nothing is measured; left out: all is.
 */
export function inventedWeather(
  hotterK: (startMs: number) => number,
  silentMs: () => number = () => Number.POSITIVE_INFINITY,
): WeatherSource {
  return {
    kind: 'invented',
    async read({ fromMs, toMs, nowMs }) {
      const hours = [];
      for (let startMs = fromMs; startMs < toMs; startMs += HOUR_MS) {
        const hourOfDay = ((startMs / HOUR_MS + 24 - 5) % 24) + 0;
        const sun = Math.max(0, Math.sin(((hourOfDay - 6) / 13) * Math.PI));
        const isMeasured = startMs < Math.min(nowMs, silentMs());
        hours.push({
          startMs,
          origin: isMeasured ? ('observed' as const) : ('forecast' as const),
          airTempC: 12 + 8 * sun + (isMeasured ? hotterK(startMs) : 0),
          dewPointC: 9,
          relativeHumidityPct: null,
          windMPerS: 2 + 2 * sun,
          windHeightM: 2,
          solarMjPerM2: 2 * sun,
          rainMm: 0,
        });
      }
      return { source: 'invented weather', hours, asOfMs: nowMs, problems: [] };
    },
  };
}
