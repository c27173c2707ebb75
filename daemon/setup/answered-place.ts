import { readQuantity } from '../../adapters/quantity.ts';
import { isMap } from '../config/read-text.ts';
import { isZone } from '../time/site-clock.ts';
import type { RawConfig, SetupAnswers } from './answers.ts';
import { readPosition } from './position.ts';
import type { TrialPlace } from './try-weather.ts';

interface SiteTyped {
  position?: unknown;
  latitude?: unknown;
  longitude?: unknown;
  elevation?: unknown;
  zone?: unknown;
}

/** Where the site is by the answers, else by the config; what is not known yet counts as zero. */
export function answeredPlace({ site }: SetupAnswers, old: RawConfig | null): TrialPlace {
  const typed: SiteTyped = { ...(isMap(old?.site) ? old.site : {}), ...site };
  const { position, latitude, longitude, elevation, zone } = typed;
  const reading = readPosition(String(position ?? `${latitude}, ${longitude}`));
  const height = readQuantity(String(elevation), 'length');
  return {
    latitudeDeg: reading.ok ? reading.latitude : 0,
    longitudeDeg: reading.ok ? reading.longitude : 0,
    elevationM: height.ok ? height.value : 0,
    zone: typeof zone === 'string' && isZone(zone) ? zone : 'Etc/UTC',
  };
}
