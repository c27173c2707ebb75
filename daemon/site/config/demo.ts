import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { SiteDay } from '../../../adapters/site-clock.ts';
import { makeOwnFolder, writeOwnFile } from '../store/own-files.ts';
import { siteClock } from '../time/site-clock.ts';
import type { ConfigResult } from './config.ts';
import { loadConfigText } from './load.ts';

/** What error texts call the demo, which has no file. */
export const DEMO_FILE = 'embedded demo';

/** Hour of the day at the demo's site when it is first started: its morning plan is owed by then. */
const FIRST_HOUR = 5;

interface DemoPlace {
  zone: string;
  longitude: number;
}

/**
 * The embedded demo: an invented site with invented weather for today.
 *
 * At its first start it is laid where it is now early morning, so that a whole day lies ahead; the
 * place is remembered in the data folder and stays.
 */
export function openDemo(cwd: string, nowMs: number): ConfigResult {
  const folder = join(cwd, 'dewbeat-data');
  const file = join(folder, 'demo-place.json');
  let place: DemoPlace;
  if (existsSync(file)) {
    place = JSON.parse(readFileSync(file, 'utf8')) as DemoPlace;
  } else {
    place = placeInTheMorning(nowMs);
    makeOwnFolder(folder);
    writeOwnFile(file, `${JSON.stringify(place)}\n`);
  }
  const day: SiteDay = siteClock(place.zone).siteDayOf(nowMs);
  return loadConfigText(demoConfigText({ day, ...place }), {
    file: DEMO_FILE,
    baseFolder: cwd,
  });
}

/** A zone of whole hours, and its meridian, in which the clock now shows the demo's first hour. */
export function placeInTheMorning(nowMs: number): DemoPlace {
  const utcHour = new Date(nowMs).getUTCHours();
  const offsetH = ((FIRST_HOUR - utcHour + 36) % 24) - 12;
  return { zone: zoneOfHours(offsetH), longitude: offsetH * 15 };
}

/** Where the invented site lies, and on which day its invented weather peaks. */
interface DemoSetting {
  day: SiteDay;
  /** IANA zone; the site lies on its meridian. */
  zone: string;
  longitude: number;
}

/** Invented days around today: hot and windy today, milder before and after. */
const DAYS: readonly { after: number; high: number; low: number; wind: number; rain: number }[] = [
  { after: -3, high: 84, low: 70, wind: 7, rain: 0 },
  { after: -2, high: 86, low: 71, wind: 8, rain: 0.3 },
  { after: -1, high: 90, low: 72, wind: 9, rain: 0 },
  { after: 0, high: 96, low: 74, wind: 14, rain: 0 },
  { after: 1, high: 92, low: 74, wind: 11, rain: 0 },
  { after: 2, high: 85, low: 72, wind: 8, rain: 0.1 },
  { after: 3, high: 83, low: 70, wind: 6, rain: 0 },
  { after: 4, high: 86, low: 71, wind: 8, rain: 0 },
];

interface DemoBed {
  id: string;
  name: string;
  area: number;
  seededDaysAgo: number;
  stage: string;
  sand: string;
  exposure: number;
  main: string;
}

const BEDS: readonly DemoBed[] = [
  {
    id: 'green-1',
    name: 'Green 1',
    area: 5200,
    seededDaysAgo: 4,
    stage: 'germination',
    sand: 'ridge',
    exposure: 110,
    main: 'north',
  },
  {
    id: 'green-2',
    name: 'Green 2',
    area: 4800,
    seededDaysAgo: 4,
    stage: 'germination',
    sand: 'medium_over_gravel',
    exposure: 100,
    main: 'north',
  },
  {
    id: 'green-3',
    name: 'Green 3',
    area: 5600,
    seededDaysAgo: 3,
    stage: 'germination',
    sand: 'medium_over_gravel',
    exposure: 90,
    main: 'north',
  },
  {
    id: 'green-4',
    name: 'Green 4',
    area: 5000,
    seededDaysAgo: 2,
    stage: 'germination',
    sand: 'fine_over_gravel',
    exposure: 100,
    main: 'south',
  },
  {
    id: 'green-5',
    name: 'Green 5',
    area: 6100,
    seededDaysAgo: 12,
    stage: 'emergence',
    sand: 'medium_over_gravel',
    exposure: 100,
    main: 'south',
  },
  {
    id: 'green-6',
    name: 'Green 6',
    area: 4500,
    seededDaysAgo: 13,
    stage: 'emergence',
    sand: 'fine_over_gravel',
    exposure: 85,
    main: 'south',
  },
];

const STATIONS_PER_BED = 3;

/**
 * The embedded demo's config as YAML: an invented site with invented weather. Beds, stations,
 * figures and names are made up; nothing in it was measured anywhere.
 */
export function demoConfigText({ day, zone, longitude }: DemoSetting): string {
  const { addDays } = siteClock(zone);
  return `# The embedded demo. Place, beds, stations and weather are invented.
site:
  id: tern-shoal
  name: Tern Shoal (invented)
  latitude: 14
  longitude: ${longitude}
  elevation: 40 ft
  zone: ${zone}
units: us
data_folder: ./dewbeat-data
morning:
  at: "04:00"
weather:
  source: outlook
  wind_height: 10 m
  days:
${DAYS.map(({ after, ...figures }) => `    - ${inline({ day: `"${addDays(day, after)}"`, ...weatherOf(figures) })}`).join('\n')}
  usual:
${Array.from({ length: 12 }, (_, index) => `    - ${inline({ month: index + 1, ...weatherOf(usualOf(index)) })}`).join('\n')}
outputs:
  - output: file
    folder: ./dewbeat-data/out
supply:
  pump_flow: 260 gpm
  mains:
    - { id: north, flow: 170 gpm }
    - { id: south, flow: 170 gpm }
  start_gap: 5 s
sands:
  ridge: { capacity: 0.9 mm, feed: 0.05 mm/h }
beds:
${BEDS.map((bed) => `  - ${inline({ id: bed.id, name: bed.name, area: `${bed.area} ft²`, seeded: `"${addDays(day, -bed.seededDaysAgo)}"`, stage: bed.stage, sand: bed.sand, exposure: `${bed.exposure} %` })}`).join('\n')}
stations:
${BEDS.flatMap(stationsOf).join('\n')}
keep_offs:
  - { beds: [green-3], from: "13:00", to: "13:45", why: visitors }
`;
}

function stationsOf(bed: DemoBed): string[] {
  return Array.from({ length: STATIONS_PER_BED }, (_, index) => {
    const rate =
      bed.id === 'green-1'
        ? '{ stated: 0.70 in/h }'
        : '{ nozzle: { flow: 27.4 gpm, head_spacing: 65 ft, triangular: true } }';
    return `  - ${inline({
      id: `${bed.id}-${index + 1}`,
      bed: bed.id,
      main: bed.main,
      flow: '27.4 gpm',
      rate,
      rotation: '150 s',
      measured: bed.id === 'green-1',
    })}`;
  });
}

function weatherOf(figures: { high: number; low: number; wind: number; rain: number }) {
  return {
    high: `${figures.high} °F`,
    low: `${figures.low} °F`,
    wind: `${figures.wind} mph`,
    rain: `${figures.rain} in`,
  };
}

/** A usual day of an invented ocean climate: a little warmer in the northern summer. */
function usualOf(monthIndex: number) {
  const warmth = Math.round(3 * Math.sin(((monthIndex - 3) / 6) * Math.PI));
  return { high: 85 + warmth, low: 72 + warmth, wind: 9, rain: 0 };
}

function inline(fields: Readonly<Record<string, string | number | boolean>>): string {
  const pairs = Object.entries(fields).map(([key, value]) => `${key}: ${value}`);
  return `{ ${pairs.join(', ')} }`;
}

/**
 * The IANA zone that stands whole hours off UTC all year.
 *
 * The sign of these names is turned round: Etc/GMT+3 is three hours behind UTC.
 *
 * @param offsetH hours ahead of UTC, a whole number from -12 to 14
 */
export function zoneOfHours(offsetH: number): string {
  return offsetH === 0 ? 'Etc/GMT' : `Etc/GMT${offsetH > 0 ? '-' : '+'}${Math.abs(offsetH)}`;
}
