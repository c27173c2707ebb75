import { expect, it } from 'vitest';
import { fuzzWeather } from '../../weather-fuzz.ts';

it('whatever comes from a file, an address or a broker is read or refused, and nothing is lost in silence', async () => {
  const tally = await fuzzWeather(2800, 20261125);
  expect(tally.cases).toBe(2800);
  // Each ending has to be met often: a run that refuses everything would show nothing.
  for (const ending of [tally.silent, tally.told, tally.refused])
    expect(ending).toBeGreaterThan(100);
  expect(tally.silent + tally.told + tally.refused).toBe(2800);
});

it('gives the same cases from the same seed', async () => {
  expect(await fuzzWeather(140, 7)).toEqual(await fuzzWeather(140, 7));
});
