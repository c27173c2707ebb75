import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { SiteDay } from '../../adapters/site-clock.ts';
import { makeOwnFolder, writeOwnFile } from '../store/own-files.ts';
import { siteClock } from '../time/site-clock.ts';
import { zoneOfHours } from '../time/zone-of-hours.ts';
import { demoConfigText } from './demo-config.ts';
import { loadConfigText } from './load.ts';
import type { ConfigResult } from './loaded-config.ts';

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
