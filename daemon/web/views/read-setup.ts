import { weatherKinds } from '../../../adapters/weather/weather-config.ts';
import { sandClasses } from '../../../calc/sand/sand-classes.ts';
import type { LoadedConfig } from '../../config/loaded-config.ts';
import { isMap } from '../../config/read-text.ts';
import type { RawConfig } from '../../setup/answers.ts';
import { positionText } from '../../setup/position.ts';
import { bedsText, stationsText } from '../../setup/table-text.ts';
import { mainsText } from '../../setup/typed-mains.ts';
import type { SetupView } from './setup-view.ts';

/** The config that is there, as the set-up's fields. */
export function readSetup(given: {
  old: RawConfig | null;
  config: LoadedConfig;
  file: string;
  nowMs: number;
  machineZone: string;
}): SetupView {
  const { old, config, file, nowMs, machineZone } = given;
  const { name, latitude, longitude, elevation, zone } = mapOf(old?.site);
  const { pump_flow, mains } = mapOf(old?.supply);
  const { people } = mapOf(old?.page);
  const isPlaced = typeof latitude === 'number' && typeof longitude === 'number';
  const own = Object.keys(mapOf(old?.sands));
  return {
    isNew: old === null,
    file,
    fields: {
      name: textOf(name),
      position: isPlaced ? positionText(latitude, longitude) : '',
      elevation: textOf(elevation),
      zone: textOf(zone) || machineZone,
      units: textOf(old?.units) || (old === null ? config.units : 'metric'),
      pumpFlow: textOf(pump_flow),
      mains: mainsText(listOf(mains)),
      beds: bedsText(listOf(old?.beds)),
      stations: stationsText(listOf(old?.stations)),
    },
    weather: old === null ? null : weatherKinds(config.weather),
    people: listOf(people).map(({ name: who, role }) => ({
      name: textOf(who),
      role: role === 'watcher' ? 'watcher' : 'keeper',
    })),
    sands: [
      ...own.map((sand) => ({ name: sand, words: `${sand}: of this site`, isOwn: true })),
      ...sandClasses.map(({ key, description }) => ({
        name: key,
        words: `${key}: ${description}`,
        isOwn: false,
      })),
    ],
    month: Number(config.clock.siteDayOf(nowMs).slice(5, 7)),
  };
}

function mapOf(raw: unknown): Readonly<Record<string, unknown>> {
  return isMap(raw) ? raw : {};
}

function listOf(raw: unknown): Readonly<Record<string, unknown>>[] {
  return Array.isArray(raw) ? raw.filter(isMap) : [];
}

function textOf(raw: unknown): string {
  return typeof raw === 'string' || typeof raw === 'number' ? String(raw) : '';
}
