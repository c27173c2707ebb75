import { WeatherUnreadable } from '../../adapters/weather/source.ts';
import { NoWeather } from '../planning/plan-weather.ts';
import { siteNow } from '../planning/site-now.ts';
import { viewVersion } from './views/version.ts';
import type { ViewContext } from './views/view-context.ts';
import type { WebParts } from './web-parts.ts';

const MINUTE_MS = 60_000;

/**
 * Reckons how the beds stand now, at most once a minute for one state of the store: several open
 * pages ask for the same.
 */
export function siteNowReader(parts: WebParts): () => Promise<ViewContext> {
  let kept: { key: string; reckoned: Promise<Pick<ViewContext, 'now' | 'nowFault'>> } | null = null;
  const { db, config, weather, now } = parts;
  const reckon = async (nowMs: number) => {
    try {
      return { now: await siteNow({ db, config, weather, nowMs }), nowFault: null };
    } catch (error) {
      if (error instanceof NoWeather || error instanceof WeatherUnreadable) {
        return { now: null, nowFault: error.message };
      }
      throw error;
    }
  };
  return async () => {
    const nowMs = now();
    const key = `${viewVersion(db)} ${Math.floor(nowMs / MINUTE_MS)}`;
    if (kept?.key !== key) kept = { key, reckoned: reckon(nowMs) };
    const { reckoned } = kept;
    try {
      return { db, config, nowMs, ...(await reckoned) };
    } catch (error) {
      kept = null;
      throw error;
    }
  };
}
