import { type DisplayUnits, display } from '../../../adapters/display-units.ts';
import { openWeatherSource, weatherSchema } from '../../../adapters/weather/combined.ts';
import { type WeatherReading, WeatherUnreadable } from '../../../adapters/weather/source.ts';
import type { RawHour } from '../../../calc/sky/weather-hour.ts';
import { check } from '../../site/config/issue-problems.ts';
import { patientWeather } from '../../site/config/open-weather.ts';
import { siteClock } from '../../site/time/site-clock.ts';

/** What a trial of the weather gave. */
export interface WeatherTrial {
  ok: boolean;
  /** What was read, or why nothing was. */
  lines: string[];
  /** The last row read: name and value, in the person's units; empty: none. */
  row: { name: string; value: string }[];
}

export interface TrialPlace {
  latitudeDeg: number;
  longitudeDeg: number;
  elevationM: number;
  zone: string;
}

const HOUR_MS = 3_600_000;
const MOST_PROBLEMS = 5;

/** Reads the weather once as a plan would, a day back and a day ahead. Nothing of it is kept. */
export async function tryWeather(given: {
  raw: unknown;
  place: TrialPlace;
  baseFolder: string;
  units: DisplayUnits;
  nowMs: number;
  /** False: nothing of a file or an answer is quoted that could not be read as weather. */
  showsContents: boolean;
}): Promise<WeatherTrial> {
  const { raw, place, baseFolder, units, nowMs, showsContents } = given;
  const quoted = showsContents ? (line: string) => line : withoutContents;
  const checked = check(weatherSchema, raw, ['weather']);
  if (!checked.ok) {
    const lines = checked.findings.map(({ path, message }) => `${path.join('.')}: ${message}`);
    return { ok: false, lines, row: [] };
  }
  const clock = siteClock(place.zone);
  const source = patientWeather(
    openWeatherSource(checked.value, {
      ...place,
      clock,
      clockIn: siteClock,
      baseFolder,
      now: () => nowMs,
    }),
  );
  try {
    const hourMs = clock.startOf(clock.siteDayOf(nowMs));
    const fromMs = hourMs + Math.floor((nowMs - hourMs) / HOUR_MS) * HOUR_MS;
    const reading = await source.read({
      fromMs: fromMs - 24 * HOUR_MS,
      toMs: fromMs + 24 * HOUR_MS,
      nowMs,
    });
    return trialOf(reading, {
      units,
      quoted,
      stamp: (ms) => `${clock.siteDayOf(ms)} ${clock.timeOf(ms)}`,
    });
  } catch (error) {
    if (!(error instanceof WeatherUnreadable)) throw error;
    return { ok: false, lines: [quoted(error.message)], row: [] };
  } finally {
    await source.stop?.();
  }
}

function trialOf(
  reading: WeatherReading,
  given: { units: DisplayUnits; quoted(line: string): string; stamp(ms: number): string },
): WeatherTrial {
  const { hours, usual = [], problems, source } = reading;
  const shown = problems
    .slice(0, MOST_PROBLEMS)
    .map(({ where, what, done }) => given.quoted(`${where}: ${what}; ${done}`));
  const more = problems.length - shown.length;
  if (more > 0) shown.push(`and ${more} more of the same kind`);
  const read = hours.filter(({ airTempC }) => airTempC !== null);
  const observed = read.filter(({ origin }) => origin === 'observed');
  const last = observed.at(-1) ?? read.at(-1) ?? usual.at(-1);
  if (last === undefined) {
    const none = `${source}: told of no hour from a day ago to a day ahead; look at its stamps, its zone and its columns`;
    return { ok: false, lines: [none, ...shown], row: [] };
  }
  const what = read.length > 0 ? `${read.length} of 48 hours` : 'only a usual day';
  return { ok: true, lines: [`${source}: ${what} read.`, ...shown], row: rowOf(last, given) };
}

/** What a text quotes that is a code or a count, and nothing of what was read. */
const SAYS_NOTHING = /^(E[A-Z]{2,}|none|nothing|\d{1,6} (bytes|lines|rows|of \d+ fields))$/;

/**
 * Whoever sits at the page names files and addresses that only the daemon can read: what was not read as
 * weather may be a secret of the machine.
 */
function withoutContents(line: string): string {
  const plain = line.replace(/ did you mean ".*"\?/s, '');
  const [, before = '', got = '', after = ''] = /^(.*?\(got )(.*)(\).*)$/s.exec(plain) ?? [];
  return before === '' || SAYS_NOTHING.test(got) ? plain : `${before}(hidden)${after}`;
}

function rowOf(
  hour: RawHour,
  { units, stamp }: { units: DisplayUnits; stamp(ms: number): string },
): WeatherTrial['row'] {
  const show = display(units);
  const value = (amount: number | null, text: (amount: number) => string) =>
    amount === null ? 'not told, will be estimated' : text(amount);
  return [
    { name: 'hour', value: `${stamp(hour.startMs)}, ${hour.origin}` },
    { name: 'air', value: value(hour.airTempC, show.temp) },
    { name: 'dew point', value: value(hour.dewPointC, show.temp) },
    { name: 'humidity', value: value(hour.relativeHumidityPct, (pct) => `${pct.toFixed(0)} %`) },
    {
      name: 'wind',
      value: value(
        hour.windMPerS,
        (speed) => `${show.speed(speed)} at ${show.length(hour.windHeightM)}`,
      ),
    },
    {
      name: 'sun',
      value: value(hour.solarMjPerM2, (sum) => `${sum.toFixed(2)} MJ/m² in the hour`),
    },
    { name: 'rain', value: value(hour.rainMm, show.depth) },
  ];
}
