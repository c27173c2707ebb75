import { mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import type { WeatherSource } from '../../adapters/weather/source.ts';
import type { LoadedConfig } from '../../daemon/site/config/config.ts';
import { loadConfig } from '../../daemon/site/config/load.ts';
import { problemText } from '../../daemon/site/config/problems.ts';

const HOUR_MS = 3_600_000;

/** The first and the last day of the invented season; the clock goes back on 2026-11-01. */
export const FIRST_DAY_MS = Date.parse('2026-10-09T00:00:00-07:00');
export const SEASON_DAYS = 30;

/** An invented club's four greens; the coordinates lie in the open sea. */
const CONFIG = `site:
  id: kelp-point
  name: Kelp Point (invented)
  latitude: 33.1
  longitude: -120.2
  elevation: 40 ft
  zone: America/Los_Angeles
units: us
weather:
  observed: { source: csv, file: station.csv, wind_height: 2 m, stamps: hour_beginning, time: { form: iso, column: time }, columns: { air_temp: { column: temp_c, unit: °C }, dew_point: { column: dew_c, unit: °C }, wind: { column: wind, unit: m/s }, solar: { column: sun, unit: MJ/m² }, rain: { column: rain, unit: mm } } }
  forecast:
    source: outlook
    wind_height: 10 m
    usual: [{ month: 10, high: 80 °F, low: 58 °F, wind: 7 mph, rain: 0 in }, { month: 11, high: 74 °F, low: 53 °F, wind: 7 mph, rain: 0 in }]
supply: { pump_flow: 180 gpm }
sands:
  pit: { capacity: 1.4 mm }
beds:
  - { id: green-1, name: Green 1, area: 5200 ft², sand: pit, seeded: "2026-10-09" }
  - { id: green-2, name: Green 2, area: 4800 ft², sand: pit, seeded: "2026-10-09", exposure: 110 % }
  - { id: green-3, name: Green 3, area: 5600 ft², sand: pit, seeded: "2026-10-11" }
  - { id: nursery, name: Nursery, area: 3000 ft², sand: pit, seeded: "2026-10-12", exposure: 90 % }
stations:
  - { id: g1-a, bed: green-1, flow: 32 gpm, rate: { catch_cans: { lasted: 5 min, depths: [1.4 mm, 1.6 mm, 1.5 mm, 1.5 mm, 1.4 mm, 1.6 mm, 1.5 mm, 1.5 mm] } } }
  - { id: g1-b, bed: green-1, flow: 32 gpm, rate: { stated: 0.7 in/h } }
  - { id: g2-a, bed: green-2, flow: 30 gpm, rate: { stated: 0.7 in/h } }
  - { id: g2-b, bed: green-2, flow: 30 gpm, rate: { stated: 0.7 in/h } }
  - { id: g3-a, bed: green-3, flow: 34 gpm, rate: { stated: 0.7 in/h } }
  - { id: g3-b, bed: green-3, flow: 34 gpm, rate: { stated: 0.7 in/h } }
  - { id: n-a, bed: nursery, flow: 24 gpm, rate: { stated: 0.6 in/h } }
revisions: { every: 60 min }
outputs: [{ output: file, name: field, folder: ./field }]
`;

/** Invented hours: warm, two hot and windy spells, one rainy day. */
function inventedHour(startMs: number) {
  const day = Math.floor((startMs - FIRST_DAY_MS) / (24 * HOUR_MS));
  const hourOfDay = ((startMs - FIRST_DAY_MS) / HOUR_MS) % 24;
  const sun = Math.max(0, Math.sin(((hourOfDay - 6.5) / 11) * Math.PI));
  const isHot = (day >= 5 && day <= 7) || (day >= 16 && day <= 17);
  const isRainy = day === 12;
  const drift = 2 * Math.sin(day * 1.7);
  return {
    airTempC: 14 + drift + (isHot ? 5 : 0) + (isRainy ? 6 : 13) * sun,
    // Never twice the same: a reading that stays the same for a day is taken for a stuck sensor.
    dewPointC: (isHot ? 4 : 11) + 0.8 * Math.sin(hourOfDay),
    windMPerS: 1.5 + (isHot ? 4 : 2) * sun,
    solarMjPerM2: (isRainy ? 0.8 : 2.5) * sun,
    rainMm: isRainy && hourOfDay >= 9 && hourOfDay < 14 ? 2.2 : 0,
  };
}

/** Writes the invented site into a folder and reads it as a keeper's command would. */
export function layOut(folder: string): LoadedConfig {
  mkdirSync(folder, { recursive: true });
  writeFileSync(join(folder, 'dewbeat.yaml'), CONFIG);
  const rows = Array.from({ length: (SEASON_DAYS + 4) * 24 }, (_, index) => {
    const startMs = FIRST_DAY_MS + (index - 72) * HOUR_MS;
    const { airTempC, dewPointC, windMPerS, solarMjPerM2, rainMm } = inventedHour(startMs);
    const numbers = [airTempC, dewPointC, windMPerS, solarMjPerM2, rainMm];
    return [new Date(startMs).toISOString(), ...numbers.map((one) => one.toFixed(2))].join(',');
  });
  writeFileSync(
    join(folder, 'station.csv'),
    `${['time,temp_c,dew_c,wind,sun,rain', ...rows].join('\n')}\n`,
  );
  const result = loadConfig(join(folder, 'dewbeat.yaml'));
  if (!result.ok) throw new Error(result.problems.map(problemText).join('\n'));
  return result.config;
}

/** The same weather as the daemon meets it: measured up to now, then foretold a little too mild. */
export const inventedWeather: WeatherSource = {
  kind: 'invented',
  async read({ fromMs, toMs, nowMs }) {
    const hours = [];
    for (let startMs = fromMs; startMs < toMs; startMs += HOUR_MS) {
      const isPast = startMs < nowMs;
      const hour = inventedHour(startMs);
      hours.push({
        startMs,
        origin: isPast ? ('observed' as const) : ('forecast' as const),
        ...hour,
        airTempC: hour.airTempC - (isPast ? 0 : 1.5),
        windMPerS: hour.windMPerS * (isPast ? 1 : 0.8),
        relativeHumidityPct: null,
        windHeightM: 2,
      });
    }
    return { source: 'invented weather', hours, asOfMs: nowMs, problems: [] };
  },
};
