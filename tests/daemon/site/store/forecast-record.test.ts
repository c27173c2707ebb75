import { describe, expect, it } from 'vitest';
import {
  addForecastErrors,
  forecastRecord,
  keepForecast,
  keptForecastsSince,
} from '../../../../daemon/site/store/forecast-record.ts';
import { scratchDatabase } from '../../../scratch-site.ts';

const HOUR_MS = 3_600_000;
const HOURS = [0, 1, 5].map((after) => ({
  startMs: 1_000 * HOUR_MS + after * HOUR_MS,
  airTempC: 20.126,
  vapourPressureKPa: 1.23456,
  windMPerS: 2,
  solarMjPerM2: 0.5,
}));
const ERROR = {
  madeMs: 7,
  leadFromH: 3,
  leadToH: 6,
  airTempK: -1.5,
  dewPointK: 0.5,
  windLog: null,
  sunFraction: 0.1,
};

describe('the store of forecasts', () => {
  it('gives back what was foretold, with gaps, to the hundredth', () => {
    const db = scratchDatabase();
    keepForecast(db, { madeMs: 7, siteDay: '2026-07-01', hours: HOURS });
    keepForecast(db, { madeMs: 8, siteDay: '2026-07-02', hours: [] });
    const [kept, ...more] = keptForecastsSince(db, 0);
    expect(more).toEqual([]);
    expect(kept?.hours).toEqual(
      HOURS.map((hour) => ({ ...hour, airTempC: 20.13, vapourPressureKPa: 1.2346 })),
    );
    expect(kept?.leadsTold).toEqual([]);
    expect(keptForecastsSince(db, 8)).toEqual([]);
  });

  it('keeps one forecast a day and one error a stretch: the first', () => {
    const db = scratchDatabase();
    keepForecast(db, { madeMs: 7, siteDay: '2026-07-01', hours: HOURS });
    keepForecast(db, { madeMs: 9, siteDay: '2026-07-01', hours: HOURS.slice(1) });
    const [kept] = keptForecastsSince(db, 0);
    expect(kept).toMatchObject({ madeMs: 7, hours: { length: 3 } });
    const keptForecastId = kept?.keptForecastId ?? 0;
    addForecastErrors(db, { keptForecastId, atMs: 20, errors: [ERROR] });
    addForecastErrors(db, { keptForecastId, atMs: 30, errors: [{ ...ERROR, airTempK: 9 }] });
    expect(forecastRecord(db, 0)).toEqual([ERROR]);
    expect(forecastRecord(db, 8)).toEqual([]);
    expect(keptForecastsSince(db, 0)[0]?.leadsTold).toEqual([3]);
    expect(() => db.exec('DELETE FROM forecast_error')).toThrow(/only ever added to/);
    expect(() => db.exec('UPDATE kept_forecast SET made_ms = 1')).toThrow(/only ever added to/);
  });
});
