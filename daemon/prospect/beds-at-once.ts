import type { SiteDay } from '../../adapters/site-clock.ts';
import type { WeatherReading } from '../../adapters/weather/source.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { replay } from '../replay/replay.ts';

/** Two steps of the balance a bed: what placement alone costs where all fits. */
const WORTH_NOTHING_MIN = 10;

/**
 * How many of a site's beds, in the order of its config, pump and mains can carry on a day: the most
 * for which no bed is dry in daylight for longer than it would be with a supply that never binds. At
 * least one.
 */
export async function bedsAtOnce(
  config: LoadedConfig,
  reading: WeatherReading,
  day: SiteDay,
): Promise<number> {
  const carries = async (count: number) => {
    const some = withBeds(config, count);
    const [bound, ample] = await Promise.all(
      [some, withAmpleSupply(some)].map((one) => dryMinutes(one, reading, day)),
    );
    return (bound ?? []).every((min, index) => min <= (ample?.[index] ?? 0) + WORTH_NOTHING_MIN);
  };
  let most = 1;
  let least = config.site.beds.length + 1;
  if (await carries(least - 1)) return least - 1;
  while (least - most > 1) {
    const middle = Math.floor((most + least) / 2);
    if (await carries(middle)) most = middle;
    else least = middle;
  }
  return most;
}

async function dryMinutes(
  config: LoadedConfig,
  reading: WeatherReading,
  day: SiteDay,
): Promise<number[]> {
  const days = await replay({
    config,
    actual: reading,
    days: [day],
    forecast: { kind: 'perfect' },
    revisions: null,
    onDay: () => undefined,
  });
  return days.flatMap(({ outcomes }) => outcomes.map((one) => one.minutesBelowDryLimit));
}

function withBeds(config: LoadedConfig, count: number): LoadedConfig {
  const beds = config.site.beds.slice(0, count);
  const ids = new Set(beds.map((bed) => bed.id));
  const stations = config.site.stations.filter((station) => ids.has(station.bedId));
  return { ...config, site: { ...config.site, beds, stations } };
}

function withAmpleSupply(config: LoadedConfig): LoadedConfig {
  const { site } = config;
  const ample = 1e6;
  const limits = {
    ...site.limits,
    pumpFlowLPerMin: ample,
    pumpRiseLPerMin: null,
    pumpRestS: 0,
    mains: site.limits.mains.map((pipe) => ({ ...pipe, flowLPerMin: ample })),
    laterals: site.limits.laterals.map((pipe) => ({ ...pipe, flowLPerMin: ample })),
    stationsAtOnce: site.stations.length,
    startGapS: 0,
    dayAllowanceL: null,
    seasonAllowanceL: null,
  };
  return { ...config, site: { ...site, limits } };
}
