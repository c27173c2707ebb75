import { tmpdir } from 'node:os';
import type { SiteDay } from '../../../adapters/site-clock.ts';
import type { WeatherReading } from '../../../adapters/weather/source.ts';
import { STAGES } from '../../../calc/growth/stages.ts';
import {
  type BedProfile,
  drainedColumn,
  dryLimitFromDrained,
  fullColumn,
} from '../../../calc/sand/bed-column.ts';
import type { RealHour, Stretch, Trial } from '../../../calc/sand/reference-column.ts';
import type { Column } from '../../../calc/sand/richards-step.ts';
import { lossCoefficient } from '../../../calc/schedule/demand.ts';
import { driftOverHours } from '../../../calc/schedule/plan-weather.ts';
import { sunTimes } from '../../../calc/sky/sun-times.ts';
import type { EtHour } from '../../../calc/sky/weather-hour.ts';
import { completeHours } from '../../../daemon/planning/planning-context.ts';
import type { LoadedConfig } from '../../../daemon/site/config/config.ts';
import { loadConfigText } from '../../../daemon/site/config/load.ts';
import { morningOf } from '../../../daemon/site/config/morning.ts';
import { pickedWindows, type WeatherWindow, WINDOW_DAYS } from './windows.ts';

const DAY_MS = 24 * 3_600_000;
export const RATE_MM_PER_H = 18;
export const ROTATION_MS = 150_000;
export const BED = 'trial-bed';

/** Where real weather was measured. */
export interface Place {
  name: string;
  latitudeDeg: number;
  longitudeDeg: number;
  elevationM: number;
  zone: string;
}

/** Weather of a place, as read and complete. */
export interface PlaceWeather {
  place: Place;
  reading: WeatherReading;
  hours: EtHour[];
}

/** One bed of one sand in one window of weather. */
export interface SeasonCase {
  sand: string;
  window: WeatherWindow;
  config: LoadedConfig;
  reading: WeatherReading;
  days: SiteDay[];
  /** The bed on the first morning, after a night of draining. */
  column: Column;
  trial: Trial;
  driftAt(instantMs: number): number;
}

/** A site of one invented bed at a place, with all the water it may want. */
export function trialConfig(place: Place): LoadedConfig {
  const text = `
site:
  id: season-trial
  name: Season Trial (invented)
  latitude: ${place.latitudeDeg}
  longitude: ${place.longitudeDeg}
  elevation: ${place.elevationM} m
  zone: ${place.zone}
weather: { source: epw, file: none.epw }
outputs: [{ output: file, folder: out }]
supply: { pump_flow: 2000 L/min }
beds: [{ id: ${BED}, area: 480 m², sand: medium_over_gravel }]
stations:
  - { id: trial-station, bed: ${BED}, flow: 200 L/min, rate: { stated: ${RATE_MM_PER_H} mm/h }, rotation: ${ROTATION_MS / 1000} s, measured: true }
`;
  const loaded = loadConfigText(text, { file: 'season-trial.yaml', baseFolder: tmpdir() });
  if (!loaded.ok)
    throw new Error(loaded.problems.map((one) => `${one.path} ${one.message}`).join('\n'));
  return loaded.config;
}

/** The windows of several sources, each with its source and a config for its place. */
export function placedWindows(sources: readonly PlaceWeather[]) {
  return sources.flatMap((source) => {
    const config = trialConfig(source.place);
    return pickedWindows(source.hours, config.clock).map((window) => ({ source, config, window }));
  });
}

/** The case of a bed in a window: what it really is, whatever a plan takes it for. */
export function seasonCase(
  config: LoadedConfig,
  { reading }: PlaceWeather,
  { sand, bed, window }: { sand: string; bed: BedProfile; window: WeatherWindow },
): SeasonCase {
  const { clock, site } = config;
  const days = Array.from({ length: WINDOW_DAYS }, (_, index) =>
    clock.addDays(window.siteDay, index),
  );
  const first = days[0] as SiteDay;
  const after = clock.addDays(first, WINDOW_DAYS);
  const { hours } = completeHours(reading, site, {
    fromMs: clock.startOf(first) - 3 * DAY_MS,
    toMs: clock.startOf(clock.addDays(after, 2)),
  });
  const daylight = [...days, after].map((day): Stretch => {
    const { sunriseMs, sunsetMs } = sunTimes({ dayStartMs: clock.startOf(day), ...site });
    return { startMs: sunriseMs ?? 0, endMs: sunsetMs ?? 0 };
  });
  const drifts = daylight.map((light) => driftOverHours(hours, light));
  const drained = drainedColumn(fullColumn(bed));
  return {
    sand,
    window,
    config,
    reading,
    days,
    column: drained,
    trial: {
      limit: dryLimitFromDrained(drained),
      hours: realHours(hours),
      daylight,
      fromMs: morningOf(first, { ...config, ...site }),
      toMs: morningOf(after, { ...config, ...site }),
    },
    driftAt(instantMs) {
      const day = Math.max(
        0,
        daylight.findIndex((light) => instantMs < light.endMs + DAY_MS / 6),
      );
      return drifts[day]?.(instantMs) ?? 0;
    },
  };
}

/** What the air asks of a bare wet bed, dew counted as no demand. */
function realHours(hours: readonly EtHour[]): RealHour[] {
  const coefficient = lossCoefficient(STAGES.germination, hours);
  return hours.map(({ startMs, referenceEtMm, rainMm }) => ({
    startMs,
    demandMmPerH: Math.max(0, coefficient * referenceEtMm),
    rainMmPerH: rainMm,
  }));
}
