import { expect, it } from 'vitest';
import type { WeatherReading, WeatherSource } from '../../../adapters/weather/source.ts';
import { patientWeather } from '../../../daemon/site/config/open-weather.ts';

const request = { fromMs: 0, toMs: 1, nowMs: 0 };
const reading: WeatherReading = { source: 'invented', hours: [], asOfMs: null, problems: [] };
const source = (read: WeatherSource['read']): WeatherSource => ({ kind: 'csv', read });

it('passes a reading on, and gives up one that does not come', async () => {
  await expect(patientWeather(source(async () => reading)).read(request)).resolves.toBe(reading);
  const never = patientWeather(
    source(() => new Promise(() => undefined)),
    20,
  );
  await expect(never.read(request)).rejects.toThrow(
    'csv: no answer (got none in 0.02 s); look at where the weather is kept',
  );
});
