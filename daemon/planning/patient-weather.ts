import { type WeatherSource, WeatherUnreadable } from '../../adapters/weather/source.ts';
import { within } from '../within.ts';

/** Longer than any source's own time-out; a share that has gone away may never answer. */
const PATIENCE_MS = 60_000;

/** A source whose readings come in time or are given up, so that nothing that plans hangs on it. */
export function patientWeather(source: WeatherSource, patienceMs = PATIENCE_MS): WeatherSource {
  return {
    ...source,
    async read(request) {
      const reading = await within(source.read(request), patienceMs);
      if (reading.ended) return reading.value;
      throw new WeatherUnreadable(
        `${source.kind}: no answer (got none in ${patienceMs / 1000} s); look at where the weather is kept`,
      );
    },
  };
}
