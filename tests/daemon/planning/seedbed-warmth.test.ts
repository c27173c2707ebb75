import { describe, expect, it } from 'vitest';
import type { WeatherRequest, WeatherSource } from '../../../adapters/weather/source.ts';
import type { RawHour } from '../../../calc/sky/weather-hour.ts';
import { germinationOfBeds } from '../../../daemon/planning/seeding.ts';
import { siteClock } from '../../../daemon/site/time/site-clock.ts';
import { smallDay } from '../../small-day.ts';

const HOUR_MS = 3_600_000;
const DAY_MS = 24 * HOUR_MS;
const clock = siteClock('Etc/GMT+7');
const NOW_MS = Date.parse('2026-07-01T05:00:00-07:00');
/** The invented beds are seeded on 2026-06-26. */
const SOWN_MS = Date.parse('2026-06-26T12:00:00-07:00');

/** An invented source with steady air, between two instants. */
function source(
  fromMs: number,
  toMs: number,
  airTempC = 20,
): WeatherSource & { asked: WeatherRequest[] } {
  const asked: WeatherRequest[] = [];
  return {
    kind: 'invented',
    asked,
    read: async (request) => {
      asked.push(request);
      const hours: RawHour[] = [];
      for (let startMs = request.fromMs; startMs < request.toMs; startMs += HOUR_MS) {
        if (startMs < fromMs || startMs >= toMs) continue;
        hours.push({
          startMs,
          origin: startMs < request.nowMs ? 'observed' : 'forecast',
          airTempC,
          dewPointC: null,
          relativeHumidityPct: 70,
          windMPerS: 2,
          windHeightM: 2,
          solarMjPerM2: 0.8,
          rainMm: 0,
        });
      }
      return { source: 'invented', hours, asOfMs: null, problems: [] };
    },
  };
}

const windows = (weather: WeatherSource, stages?: Parameters<typeof smallDay>[0]['stages']) =>
  germinationOfBeds({
    site: smallDay(stages ? { stages } : {}).site,
    clock,
    weather,
    nowMs: NOW_MS,
  });

describe('germinationOfBeds', () => {
  it('gives beds in germination a window that counts from noon of the day of seeding', async () => {
    const found = await windows(source(0, Number.POSITIVE_INFINITY), ['germination', 'emergence']);
    expect([...found.keys()]).toEqual(['bed-1']);
    const window = found.get('bed-1');
    expect(window).toMatchObject({
      baseTempC: 5,
      sownMs: SOWN_MS,
      countedFromMs: SOWN_MS,
      missingHours: 0,
    });
    expect(window?.earliestMs).toBeGreaterThan(SOWN_MS + 3 * DAY_MS);
    expect(window?.latestMs).toBeGreaterThan(window?.earliestMs ?? Number.NaN);
  });

  it('says since when it counts where the source does not reach back', async () => {
    const all = (await windows(source(0, Number.POSITIVE_INFINITY))).get('bed-1');
    const late = (await windows(source(NOW_MS - DAY_MS, NOW_MS))).get('bed-1');
    expect(late?.countedFromMs).toBe(NOW_MS - DAY_MS);
    expect(late?.sumCDays).toBeLessThan((all?.sumCDays ?? 0) / 2);
    expect(late?.latestMs).toBeGreaterThan(all?.latestMs ?? Number.NaN);
  });

  it('has no window in the cold, and none without a single hour', async () => {
    const cold = (await windows(source(0, Number.POSITIVE_INFINITY, 2))).get('bed-1');
    expect(cold).toMatchObject({ earliestMs: null, latestMs: null });
    expect((await windows(source(0, 0))).size).toBe(0);
  });

  it('asks the source nothing when no bed germinates', async () => {
    const weather = source(0, Number.POSITIVE_INFINITY);
    expect((await windows(weather, ['emergence', 'knitting'])).size).toBe(0);
    expect(weather.asked).toEqual([]);
  });
});
