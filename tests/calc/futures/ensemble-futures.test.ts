import { describe, expect, it } from 'vitest';
import { ensembleDepartures } from '../../../calc/futures/ensemble-departures.ts';
import { weatherFutures } from '../../../calc/futures/weather-futures.ts';
import type { EtHour } from '../../../calc/sky/weather-hour.ts';
import { foretoldFrom, packagedDays } from './packaged-days.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const { place, hours } = packagedDays('New York', { fromMs: Date.UTC(2013, 6, 10), days: 3 });
const asOfMs = (hours[0]?.startMs ?? 0) + DAY_MS + 5 * HOUR_MS;
const input = { hours: foretoldFrom(hours, asOfMs), place, asOfMs };

/** Invented members: so many kelvins about the forecast, the rain of the odd ones. */
const ensemble = (stepK: number, count = 10): EtHour[][] =>
  Array.from({ length: count }, (_, member) =>
    input.hours.map((hour) => ({
      ...hour,
      airTempC: hour.airTempC + stepK * (member - (count - 1) / 2),
      rainMm: member % 2,
    })),
  );

describe('departures of an ensemble', () => {
  it('are those from its mean, with the spread of a sample', () => {
    const hour = ensembleDepartures(ensemble(1, 3)).get(input.hours[30]?.startMs ?? 0);
    expect(hour?.departures.map(({ airTempK }) => airTempK)).toEqual([-1, 0, 1]);
    expect(hour?.departures.map(({ windLog }) => Math.abs(windLog))).toEqual([0, 0, 0]);
    expect(hour?.spread.airTempK).toBeCloseTo(1, 9);
    expect(hour?.rainMm).toEqual([0, 1, 0]);
  });

  it('need two members, and every member in an hour', () => {
    expect(ensembleDepartures([]).size).toBe(0);
    expect(ensembleDepartures(ensemble(1, 1)).size).toBe(0);
    const [first = [], second = []] = ensemble(1, 2);
    expect(ensembleDepartures([first, second.slice(3)]).size).toBe(first.length - 3);
  });
});

describe('futures from an ensemble', () => {
  const index = input.hours.findIndex(({ startMs }) => startMs >= asOfMs + 9 * HOUR_MS);
  const airSpread = (members: EtHour[][] | undefined) => {
    const futures = weatherFutures({
      ...input,
      count: 200,
      ...(members === undefined ? {} : { ensemble: members }),
    });
    const air = futures.members.map(
      (one) => (one.hours[index]?.airTempC ?? 0) - (input.hours[index]?.airTempC ?? 0),
    );
    return {
      basis: futures.basis,
      futures,
      air,
      airK: Math.sqrt(air.reduce((sum, one) => sum + one ** 2, 0) / air.length),
    };
  };

  it('say so, and have its spread where it is the wider one', () => {
    const wide = airSpread(ensemble(1.2));
    expect(wide.basis).toBe('ensemble');
    // Ten members 1.2 K apart: 3.63 K, more than the published 1.7 K, so nothing is added.
    expect(wide.airK).toBeGreaterThan(3);
    expect(wide.airK).toBeLessThan(4.2);
  });

  it('are as wide as published errors where the ensemble is too narrow', () => {
    const narrow = airSpread(ensemble(0.1));
    const none = airSpread(undefined);
    expect(none.basis).toBe('published');
    expect(narrow.airK / none.airK).toBeGreaterThan(0.9);
    expect(narrow.airK / none.airK).toBeLessThan(1.1);
  });

  it('have the rain of the members about the mean that was foretold', () => {
    const wet = { ...input, hours: input.hours.map((hour) => ({ ...hour, rainMm: 0.5 })) };
    const { members } = weatherFutures({ ...wet, ensemble: ensemble(0.5) });
    const rain = members.map((one) => one.hours[index]?.rainMm ?? 0);
    expect(rain.filter((mm) => mm === 0).length).toBeGreaterThanOrEqual(6);
    expect(rain.filter((mm) => mm > 0).length).toBeGreaterThanOrEqual(6);
    expect(rain.reduce((sum, mm) => sum + mm, 0) / 24).toBeCloseTo(0.5, 9);
  });

  it('rest on the ensemble only as far as it reaches', () => {
    const short = ensemble(1.2).map((list) =>
      list.filter(({ startMs }) => startMs < asOfMs + 6 * HOUR_MS),
    );
    expect(weatherFutures({ ...input, ensemble: short }).basis).toBe('published');
  });
});
