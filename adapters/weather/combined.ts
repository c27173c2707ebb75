import { z } from 'zod';
import {
  type CheckedField,
  type CheckFinding,
  checkedHours,
} from '../../calc/sky/weather-checks.ts';
import type { RawHour } from '../../calc/sky/weather-hour.ts';
import { csvSource } from './csv.ts';
import { csvConfigSchema } from './csv-table.ts';
import { believedMembers } from './ensemble.ts';
import { epwConfigSchema, epwSource } from './epw.ts';
import { HOUR_MS } from './hour-grid.ts';
import { httpJsonConfigSchema, httpJsonSource } from './http-json.ts';
import { mqttSource } from './mqtt.ts';
import { mqttWeatherSchema } from './mqtt-message.ts';
import { outlookConfigSchema, outlookSource } from './outlook.ts';
import {
  type SourceStanding,
  summarizeRepeats,
  type WeatherContext,
  type WeatherProblem,
  type WeatherReading,
  type WeatherRequest,
  type WeatherSource,
  WeatherUnreadable,
} from './source.ts';

/** Every source with its own config. */
export const weatherConfigSchema = z.discriminatedUnion('source', [
  csvConfigSchema,
  epwConfigSchema,
  outlookConfigSchema,
  httpJsonConfigSchema,
  mqttWeatherSchema,
]);

export type SourceConfig = z.output<typeof weatherConfigSchema>;

/**
 * The source that the config asks for.
 * @throws RangeError when the time zone of its stamps is unknown to this machine.
 */
export function createWeatherSource(config: SourceConfig, context: WeatherContext): WeatherSource {
  switch (config.source) {
    case 'csv':
      return csvSource(config, context);
    case 'epw':
      return epwSource(config, context);
    case 'http_json':
      return httpJsonSource(config, context);
    case 'mqtt':
      return mqttSource(config, context);
    case 'outlook':
      return outlookSource(config, context);
  }
}

/** One source, several in the order in which they are believed, or one for each of now and later. */
export const weatherSchema = z.union([
  weatherConfigSchema,
  z.array(weatherConfigSchema).min(1).max(8),
  z.strictObject({ observed: weatherConfigSchema, forecast: weatherConfigSchema }),
]);

export type WeatherConfig = z.output<typeof weatherSchema>;

/** A source of the config and what it is there for. */
interface ConfiguredPart {
  role: PartRole;
  config: SourceConfig;
}

const STALE_OBSERVED_S = 3 * 3600;
const STALE_FORECAST_S = 12 * 3600;

/** The sources that a config names, in the order in which they are believed. */
export function partsOf(config: WeatherConfig): ConfiguredPart[] {
  if (Array.isArray(config)) return config.map((one) => ({ role: 'any', config: one }));
  if ('source' in config) return [{ role: 'any', config }];
  return [
    { role: 'observed', config: config.observed },
    { role: 'forecast', config: config.forecast },
  ];
}

/** The kinds of the sources, for a person: `csv`, `mqtt and http_json`. */
export function weatherKinds(config: WeatherConfig): string {
  return partsOf(config)
    .map(({ config: { source } }) => source)
    .join(' and ');
}

/**
 * The weather of a config as one source.
 * @throws RangeError when the time zone of stamps is unknown to this machine.
 */
export function openWeatherSource(config: WeatherConfig, context: WeatherContext): WeatherSource {
  const configured = partsOf(config);
  const parts = configured.map(
    ({ role, config: one }): WeatherPart => ({
      source: createWeatherSource(one, context),
      role,
      staleAfterS: one.source === 'epw' ? null : (one.stale_after ?? usualStaleAfterS(one, role)),
      checked: one.source !== 'epw' && one.source !== 'outlook',
    }),
  );
  const usual = configured.flatMap(({ config: one }) => usualPart(one, context));
  return combinedSource([...parts, ...usual], context);
}

/** What persons typed and typical years have no age; a station and a forecast have. */
function usualStaleAfterS(config: SourceConfig, role: PartRole): number | null {
  if (config.source === 'epw' || config.source === 'outlook') return null;
  const foretells = config.source === 'http_json' && config.tells !== 'observed';
  if (role === 'forecast' || (role === 'any' && foretells)) return STALE_FORECAST_S;
  return STALE_OBSERVED_S;
}

/** The usual days of a source that is none itself, shaped as an outlook shapes them. */
function usualPart(config: SourceConfig, context: WeatherContext): WeatherPart[] {
  if (config.source === 'epw' || config.source === 'outlook' || config.usual === undefined) {
    return [];
  }
  const { usual, wind_height } = config;
  const source = createWeatherSource({ source: 'outlook', days: [], usual, wind_height }, context);
  return [{ source, role: 'usual', staleAfterS: null, checked: false }];
}

/** What a source is there for; `any`: as it tells its hours itself. */
type PartRole = 'any' | 'observed' | 'forecast' | 'usual';

/** A source among others. */
export interface WeatherPart {
  source: WeatherSource;
  role: PartRole;
  /** Older than this it is stale; null: never. */
  staleAfterS: number | null;
  /** Whether its observed hours are held against each other. */
  checked: boolean;
}

/** What one part gave to a request. */
interface PartReading {
  part: WeatherPart;
  reading: WeatherReading | null;
  standing: SourceStanding;
}

/** Observed hours come before forecast ones; of two of a kind the part that is named first. */
const RANK = { observed: 0, forecast: 1, carried: 2, usual: 3 } as const;
/** As long a silence of the temperature can be bridged; hours of a longer one are no hours. */
const BRIDGE_H = 3;

/**
 * Several sources as one: observed hours replace forecast ones, each hour says who told it and how
 * young that was, a stale source tells nothing of now or later, and a usual day of the month waits
 * for hours that nobody tells. One source that cannot be read does not silence the others.
 */
export function combinedSource(
  parts: readonly WeatherPart[],
  context: Pick<WeatherContext, 'clock'>,
): WeatherSource {
  return {
    kind: parts.map(({ source }) => source.kind).join(' + '),
    start() {
      for (const { source } of parts) source.start?.();
    },
    async stop() {
      await Promise.all(parts.map(({ source }) => source.stop?.()));
    },
    async read(request) {
      const readings = await Promise.all(parts.map((part) => readPart(part, request)));
      const told = readings.filter(({ part }) => part.role !== 'usual');
      if (told.length === readings.length && told.every(({ reading }) => reading === null)) {
        throw new WeatherUnreadable(told.map(({ standing }) => standing.fault).join('\n'));
      }
      return together(readings, request, context);
    },
  };
}

async function readPart(part: WeatherPart, request: WeatherRequest): Promise<PartReading> {
  const staleAfterH = part.staleAfterS === null ? null : part.staleAfterS / 3600;
  try {
    const reading = await part.source.read(request);
    const { source } = reading;
    const asOfMs =
      part.role === 'forecast' ? (reading.writtenMs ?? reading.asOfMs) : reading.asOfMs;
    const ageH = asOfMs === null ? 0 : (request.nowMs - asOfMs) / HOUR_MS;
    const stale = staleAfterH !== null && ageH > staleAfterH;
    return { part, reading, standing: { source, asOfMs, stale, staleAfterH, fault: null } };
  } catch (error) {
    if (!(error instanceof WeatherUnreadable)) throw error;
    const source = part.source.kind;
    const standing = { source, asOfMs: null, stale: true, staleAfterH, fault: error.message };
    return { part, reading: null, standing };
  }
}

function together(
  readings: readonly PartReading[],
  request: WeatherRequest,
  { clock }: Pick<WeatherContext, 'clock'>,
): WeatherReading {
  const problems: WeatherProblem[] = [];
  const best = new Map<number, RawHour>();
  for (const one of readings) {
    if (one.reading === null) continue;
    problems.push(...one.reading.problems);
    for (const hour of hoursOf(one, request, { clock, problems })) {
      const known = best.get(hour.startMs);
      if (known === undefined || isBetter(hour, known)) best.set(hour.startMs, hour);
    }
  }
  const hours = withoutSilence([...best.values()].sort((a, b) => a.startMs - b.startMs));
  // Where an outlook stands alone its usual days are its own answer; among others they wait.
  const alone = readings.length === 1;
  const told = alone ? hours : hours.filter(({ origin }) => origin !== 'usual');
  const speaking = readings.filter(
    ({ reading, part }) => reading !== null && (alone || part.role !== 'usual'),
  );
  const ensemble = speaking.find(({ reading }) => reading?.members !== undefined)?.reading;
  const asOfs = speaking.flatMap(({ standing }) => standing.asOfMs ?? []);
  return {
    source: sayWho(readings, speaking),
    hours: told,
    asOfMs: asOfs.length === 0 ? null : Math.min(...asOfs),
    problems: summarizeRepeats(problems),
    usual: alone ? [] : readings.flatMap(({ reading }) => usualOf(reading)),
    ...(ensemble?.members === undefined
      ? {}
      : {
          members: believedMembers(ensemble.members, told, {
            source: ensemble.source,
            nowMs: request.nowMs,
          }),
        }),
    standings: readings.filter(({ part }) => part.role !== 'usual').map(({ standing }) => standing),
  };
}

function hoursOf(
  { part, reading, standing }: PartReading,
  { nowMs }: WeatherRequest,
  { clock, problems }: Pick<WeatherContext, 'clock'> & { problems: WeatherProblem[] },
): RawHour[] {
  if (reading === null) return [];
  const told = { source: reading.source, asOfMs: standing.asOfMs };
  let hours: RawHour[] = reading.hours.map((hour) => ({ ...hour, told }));
  if (part.role === 'forecast') {
    hours = hours.map((hour) => ({ ...hour, origin: 'forecast' }));
  }
  if (part.role === 'observed') {
    const later = hours.filter(({ origin }) => origin !== 'observed');
    const [first] = later;
    if (first) {
      const what = `${later.length} h are stamped later than now (got ${clock.isoOf(first.startMs)})`;
      problems.push({ where: reading.source, what, done: 'left out', rule: 'future_stamp' });
    }
    hours = hours.filter(({ origin }) => origin === 'observed');
  }
  if (standing.stale) hours = hours.filter(({ startMs }) => startMs + HOUR_MS <= nowMs);
  if (!part.checked) return hours;
  const observed = hours.filter(({ origin }) => origin === 'observed');
  const checked = checkedHours(observed);
  for (const finding of checked.findings) {
    const where = `${reading.source}, ${clock.isoOf(finding.startMs)}`;
    const { rule } = finding;
    problems.push({ where, what: foundText(finding), done: 'value left out', rule });
  }
  return [...checked.hours, ...hours.filter(({ origin }) => origin !== 'observed')];
}

const CHECKED: Readonly<Record<CheckedField, { name: string; unit: string }>> = {
  airTempC: { name: 'air temperature', unit: '°C' },
  dewPointC: { name: 'dew point', unit: '°C' },
  relativeHumidityPct: { name: 'humidity', unit: '%' },
  windMPerS: { name: 'wind', unit: 'm/s' },
  solarMjPerM2: { name: 'sun', unit: 'MJ/m²' },
};

/** What a check refused, as plans keep it and send it on. */
export function foundText(finding: CheckFinding): string {
  const { name, unit } = CHECKED[finding.field];
  const shown = (value: number) => `${Number(value.toFixed(2))} ${unit}`;
  if (finding.rule === 'stuck') {
    const { value, hours, atLeast } = finding;
    return `${name} does not move for ${hours} h (got ${shown(value)} throughout); the limit is ${atLeast} h`;
  }
  const { value, before, atMost, followedBy } = finding;
  const beyond = followedBy === 'nothing' ? 'and no later hour bears it out' : 'and back again';
  return `${name} leaps ${beyond} (got ${shown(value)} after ${shown(before)}); the limit is ${atMost} ${unit} in an hour`;
}

/** An hour without a temperature is worth less than any hour with one. */
function isBetter(hour: RawHour, known: RawHour): boolean {
  const rank = (one: RawHour) => RANK[one.origin] + (one.airTempC === null ? 10 : 0);
  return rank(hour) < rank(known);
}

/** Hours without a temperature for longer than can be bridged, left to what stands in. */
function withoutSilence(hours: readonly RawHour[]): RawHour[] {
  const silent = (index: number) => hours[index]?.airTempC === null;
  return hours.filter((_, index) => {
    if (!silent(index)) return true;
    let from = index;
    let to = index;
    while (silent(from - 1)) from--;
    while (silent(to + 1)) to++;
    return to - from + 1 <= BRIDGE_H;
  });
}

function usualOf(reading: WeatherReading | null): RawHour[] {
  return (reading?.hours ?? [])
    .filter(({ origin }) => origin === 'usual')
    .map((hour) => ({ ...hour, told: { source: 'usual day of the month', asOfMs: null } }));
}

function sayWho(all: readonly PartReading[], speaking: readonly PartReading[]): string {
  if (speaking.length > 0) return speaking.map(({ standing }) => standing.source).join(' and ');
  const away = all.filter(({ part }) => part.role !== 'usual');
  return away.map(({ standing }) => `${standing.source} (away)`).join(' and ');
}
