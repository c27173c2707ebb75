import { copyFileSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { beforeEach, describe, expect, it } from 'vitest';
import type { Language } from '../../../../adapters/contract.ts';
import type { SiteDay } from '../../../../adapters/site-clock.ts';
import type { WeatherReading } from '../../../../adapters/weather/source.ts';
import { STAGES } from '../../../../calc/growth/stages.ts';
import { bedStores } from '../../../../calc/schedule/bed-stores.ts';
import { completeHours, NoWeather } from '../../../../daemon/planning/planning-context.ts';
import { sandMembers } from '../../../../daemon/planning/sand-models.ts';
import type { LoadedConfig } from '../../../../daemon/site/config/config.ts';
import { loadConfig } from '../../../../daemon/site/config/load.ts';
import { openWeather } from '../../../../daemon/site/config/open-weather.ts';
import { coverageOf, toldDryings } from '../../../../daemon/studies/replay/coverage.ts';
import {
  hoursCovering,
  type ReplayForecast,
} from '../../../../daemon/studies/replay/known-weather.ts';
import {
  type ReplayedDay,
  type Revisions,
  replay,
} from '../../../../daemon/studies/replay/replay.ts';
import { sayCoverage } from '../../../../daemon/studies/replay/report/replay-text.ts';
import { reportHtml } from '../../../../daemon/studies/replay/report/report-html.ts';
import { ticksOf } from '../../../../daemon/studies/replay/report/svg-plot.ts';
import { sayIn } from '../../../../daemon/words/language.ts';
import { readerOf } from '../../../../daemon/words/plan-words.ts';
import { scratchFolder } from '../../../scratch-site.ts';
import { dewbeat } from '../../command-line.ts';

const DAY_MS = 24 * 3_600_000;
const MIN_MS = 60_000;
// Daily weather of Seattle, 2012 to 2015: NOAA, as carried by the package `vega-datasets`. From
// 2015-06-24 (high 25.6 °C) to 06-26 (31.7 °C) each day is hotter or windier than the one before.
const SEATTLE = fileURLToPath(
  new URL('../../../../node_modules/vega-datasets/data/seattle-weather.csv', import.meta.url),
);
const DAYS = ['2015-06-24', '2015-06-25', '2015-06-26'] as SiteDay[];

const CONFIG = `
site: { id: replay-bench, name: "Replay <Bench> (invented)", latitude: 47.45, longitude: -122.31, elevation: 130 m, zone: America/Los_Angeles }
units: metric
weather:
  source: outlook
  wind_height: 10 m
  daily_file:
    file: seattle-weather.csv
    day: { column: date }
    columns:
      high: { column: temp_max, unit: °C }
      low: { column: temp_min, unit: °C }
      wind: { column: wind, unit: m/s }
      rain: { column: precipitation, unit: mm }
outputs: [{ output: file, folder: out }]
supply: { pump_flow: 500 L/min }
sands: { crest: { capacity: 0.9 mm } }
beds:
  - { id: bed-a, area: 450 m², sand: crest }
  - { id: bed-b, area: 500 m², sand: crest, exposure: 90 % }
stations:
  - { id: a, bed: bed-a, flow: 400 L/min, rate: { stated: 16 mm/h }, rotation: 120 s, measured: true }
  - { id: b, bed: bed-b, flow: 400 L/min, rate: { stated: 16 mm/h }, rotation: 120 s, measured: true }
`;

let folder: string;
let config: LoadedConfig;
let actual: WeatherReading;

beforeEach(async () => {
  folder = scratchFolder();
  copyFileSync(SEATTLE, join(folder, 'seattle-weather.csv'));
  writeFileSync(join(folder, 'dewbeat.yaml'), CONFIG);
  const loaded = loadConfig(join(folder, 'dewbeat.yaml'));
  if (!loaded.ok) throw new Error(JSON.stringify(loaded.problems));
  config = loaded.config;
  const fromMs = config.clock.startOf(DAYS[0] as SiteDay) - 4 * DAY_MS;
  const toMs = fromMs + 10 * DAY_MS;
  actual = await openWeather(config).read({ fromMs, toMs, nowMs: toMs });
});

const run = (forecast: ReplayForecast, revisions: Revisions | null = null) =>
  replay({
    config,
    actual,
    days: DAYS,
    forecast,
    revisions,
    onDay() {},
  });

const sum = (days: readonly ReplayedDay[], of: (day: ReplayedDay) => number) =>
  days.reduce((total, day) => total + of(day), 0);
const dryMin = (days: readonly ReplayedDay[]) =>
  sum(days, (day) => day.outcomes.reduce((total, one) => total + one.minutesBelowDryLimit, 0));

describe('replay', () => {
  it('foresees with a file of the same weather what a perfect forecast does, but is not sure of it', async () => {
    const perfect = await run({ kind: 'perfect' });
    const told = await run({ kind: 'source', reading: actual });
    const weatherOf = ({ morning }: ReplayedDay) => {
      const {
        source: _,
        asOfMs: __,
        futuresBasis: ___,
        hoursByOrigin: ____,
        ...weather
      } = morning.weather;
      return JSON.stringify(weather, (key, value) => (key === 'origin' ? undefined : value));
    };
    expect(told.map(weatherOf)).toEqual(perfect.map(weatherOf));
    expect(dryMin(perfect)).toBe(0);
    expect(dryMin(told)).toBe(0);
    // What may turn out hotter is watered sooner: never less often.
    const cycles = (days: readonly ReplayedDay[]) =>
      sum(days, ({ plan }) => plan.beds.reduce((total, bed) => total + bed.cycles.length, 0));
    expect(cycles(told)).toBeGreaterThan(cycles(perfect));
  });

  it('says where there is no weather, in one line, as where a sensor stuck for days', async () => {
    const { startMs } = actual.hours[0] ?? { startMs: 0 };
    const stuck = actual.hours.map((hour) =>
      hour.startMs < startMs + 5 * DAY_MS ? { ...hour, airTempC: null } : hour,
    );
    actual = { ...actual, hours: stuck };
    for (const kind of ['perfect', 'persistence'] as const) {
      const fault = await run({ kind }).catch((error: unknown) => error);
      expect(fault).toBeInstanceOf(NoWeather);
      expect((fault as Error).message).toMatch(
        /^replay: no weather at 20\d\d-\S+Z, and no earlier day to stand in \(got \d+ usable hours from \S+ to \S+\); mend what the lines above refuse, or replay other days$/,
      );
    }
  });

  it('runs the morning’s plan where it is not revised, with the drift of the real wind', async () => {
    for (const { morning, plan } of await run({ kind: 'persistence' })) {
      expect(plan.runs.map((one) => [one.stationId, one.startMs, one.runS])).toEqual(
        morning.runs.map((one) => [one.stationId, one.startMs, one.runS]),
      );
      expect(plan.beds.map((bed) => bed.cycles.length)).toEqual(
        morning.beds.map((bed) => bed.cycles.length),
      );
    }
  });

  it('revises a day that turns out hotter, and the beds fare no worse for it', async () => {
    // Of a day that is planned by its middle future alone, so that the heat finds it unready.
    config = {
      ...config,
      site: { ...config.site, limits: { ...config.site.limits, riskFraction: 0.5 } },
    };
    const morningOnly = await run({ kind: 'persistence' });
    const revised = await run(
      { kind: 'persistence' },
      { rule: config.revisions, everyMs: 15 * MIN_MS, confirmMs: 15 * MIN_MS },
    );
    expect(sum(revised, (day) => day.revisions)).toBeGreaterThan(0);
    // What the mornings lay for is how days differ here: most of what came lies within it.
    expect(dryMin(morningOnly)).toBeGreaterThan(0);
    expect(dryMin(revised)).toBeLessThan(dryMin(morningOnly) / 2);
    for (const { plan } of revised) {
      for (const bed of plan.beds) {
        const starts = bed.cycles.map((cycle) => cycle.startMs);
        expect(starts).toEqual(starts.toSorted((a, b) => a - b));
        // The bed's rest holds over every revision.
        for (const [index, cycle] of bed.cycles.slice(1).entries()) {
          const before = bed.cycles[index];
          expect(cycle.startMs - (before?.endMs ?? 0)).toBeGreaterThanOrEqual(
            config.site.limits.restMin * MIN_MS,
          );
        }
      }
    }
  });

  it('tells how each bed’s store fared, hour by hour, as deep as its dry minutes say', async () => {
    for (const day of await run({ kind: 'persistence' })) {
      for (const one of day.outcomes) {
        expect(one.lowestStoreMm.length).toBeGreaterThanOrEqual(23);
        const isDry = one.minutesBelowDryLimit > 0;
        if (isDry) expect(Math.min(...one.lowestStoreMm)).toBeLessThan(0);
      }
    }
  });
});

describe('the bands of a replay', () => {
  it('are told of mornings that do not know the weather, and counted by what came', async () => {
    expect((await run({ kind: 'perfect' })).flatMap((day) => day.dryings)).toEqual([]);
    const days = await run({ kind: 'persistence' });
    for (const { dryings } of days) {
      expect(dryings.map(({ bedId }) => bedId)).toEqual(['bed-a', 'bed-b']);
      for (const { insideFraction, beforeFraction, afterFraction } of dryings) {
        expect(insideFraction + beforeFraction + afterFraction).toBeCloseTo(1, 9);
      }
    }
    const { bands, insideFraction } = coverageOf(days.flatMap((day) => day.dryings));
    expect(bands).toBe(6);
    const say = sayIn('en');
    expect(sayCoverage(days, say)).toBe(
      `Of the drying times, ${Math.round(100 * insideFraction)} % fell inside the band told in the morning (aim 85 to 95 %; 6 bands), ${sharesOf(days)}.`,
    );
    expect(sayCoverage([], say)).toBeNull();
  });

  it('are missed where the day dries the beds at another hour than any that was told', async () => {
    const [morning] = await run({ kind: 'persistence' });
    if (morning === undefined) throw new Error('no day');
    const { hours } = completeHours(actual, config.site, {
      fromMs: config.clock.startOf(DAYS[0] as SiteDay) - 3 * DAY_MS,
      toMs: morning.toMs + DAY_MS,
    });
    const fellBy = (bandH: number) => {
      const beds = morning.morning.beds.map((bed) => {
        const shifted = (ms: number | null | undefined) =>
          ms == null ? null : ms + bandH * 3_600_000;
        const { earliestMs, latestMs } = bed.dryBandMs ?? {};
        return {
          ...bed,
          dryBandMs: { earliestMs: shifted(earliestMs), latestMs: shifted(latestMs) },
        };
      });
      return toldDryings({
        site: config.site,
        stores: bedStores(config.site.beds, STAGES, sandMembers(config.dataFolder)),
        morning: { ...morning.morning, beds },
        hours: hoursCovering(hours, morning.fromMs, morning.toMs),
        toMs: morning.toMs,
      });
    };
    for (const one of fellBy(9)) expect(one.beforeFraction).toBe(1);
    for (const one of fellBy(-9)) expect(one.afterFraction).toBe(1);
  });
});

/** Parts earlier and later, as they are told. */
function sharesOf(days: readonly ReplayedDay[]): string {
  const { beforeFraction, afterFraction } = coverageOf(days.flatMap((day) => day.dryings));
  return `${Math.round(100 * beforeFraction)} % earlier, ${Math.round(100 * afterFraction)} % later`;
}

describe('the report of a replay', () => {
  it('is one page without script or outside address, and says whose figures they are', async () => {
    const days = await run({ kind: 'persistence' });
    const page = (language: Language) =>
      reportHtml(
        { config, days, reader: readerOf({ ...config, language }) },
        { forecast: { kind: 'persistence' }, confirmedAfterMin: null, weather: 'seattle' },
      );
    const html = page('en');
    expect(html).not.toMatch(/<script|https?:|src=|@import|url\(/);
    expect(html).toContain('Replay &lt;Bench&gt; (invented)');
    expect(html).toContain('estimates, not measurements');
    // Two plots by day, two of the flow, one for each bed.
    expect(html.match(/<svg /g)).toHaveLength(6);
    expect(html.match(/<\/svg>/g)).toHaveLength(6);
    expect(html).not.toMatch(/NaN|Infinity|undefined/);
    for (const { netMm } of days.flatMap((day) => day.outcomes)) expect(netMm).toBeGreaterThan(0);
    expect(page('es')).toContain('estimaciones, no mediciones');
    expect(page('es').split('</style>')[1]).not.toMatch(/>[^<]*\b(the|of|by|dry|store)\b/);
  });

  it.each([
    [0, 7.3, [0, 2, 4, 6, 8]],
    [-0.4, 1.1, [-0.5, 0, 0.5, 1, 1.5]],
    [0, 0, [0, 0]],
  ])('cuts %f to %f at round values', (least, greatest, ticks) => {
    const found = ticksOf(least, greatest);
    if (greatest > 0) expect(found).toEqual(ticks);
    expect(found[0]).toBeLessThanOrEqual(least);
    expect(found.at(-1)).toBeGreaterThanOrEqual(greatest);
  });
});

describe('dewbeat replay', () => {
  it('writes its three files and a table, with another file as the forecast', async () => {
    mkdirSync(join(folder, 'told'), { recursive: true });
    const said = await dewbeat(
      'replay --from 2015-06-24 --days 2 --forecast seattle-weather.csv --revisions --out told'.split(
        ' ',
      ),
      { cwd: folder, nowMs: Date.parse('2026-01-01T00:00:00Z') },
    );
    expect(said).toMatchObject({ code: 0 });
    expect(said.out).toContain('Plans through the day: each confirmed after 15 min');
    expect(said.out.match(/^2015-06-2[45] /gm)).toHaveLength(2);
    expect(readFileSync(join(folder, 'told', 'days.csv'), 'utf8').split('\r\n')).toHaveLength(6);
    expect(readFileSync(join(folder, 'told', 'runs.csv'), 'utf8')).toMatch(/bed-a,a,2015-06-24T/);
    expect(readFileSync(join(folder, 'told', 'report.html'), 'utf8')).toContain('</html>');
  });

  it('refuses a wait that cannot be', async () => {
    const said = await dewbeat(
      'replay --from 2015-06-24 --revisions --confirm-after soon --out r'.split(' '),
      { cwd: folder, nowMs: 0 },
    );
    expect(said).toMatchObject({ code: 2 });
    expect(said.err).toContain('--confirm-after: must be 0 to 240 minutes (got soon)');
  });
});
