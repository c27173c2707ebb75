import { resolve } from 'node:path';
import { z } from 'zod';
import type { RawHour } from '../../calc/sky/weather-hour.ts';
import { timeSlice } from '../event-loop.ts';
import { fileReader } from './file-text.ts';
import { hourGrid, hoursOf } from './hour-grid.ts';
import { checkBounds, type MeasuredField } from './measured-fields.ts';
import {
  nameGaps,
  type ProblemList,
  problemList,
  summarizeRepeats,
  type WeatherContext,
  type WeatherProblem,
  type WeatherRequest,
  type WeatherSource,
  WeatherUnreadable,
} from './source.ts';

/** A typical year in the open EnergyPlus weather format. */
export const epwConfigSchema = z.strictObject({
  source: z.literal('epw'),
  file: z.string().min(1),
});

type EpwConfig = z.infer<typeof epwConfigSchema>;

/** The format gives wind at 10 m. */
const WIND_HEIGHT_M = 10;
const FAR_AWAY_DEG = 1;
/** A year of hours is two to four megabytes. */
const MOST_BYTES = 16_000_000;

/**
 * A typical year laid over the dates asked for, whatever their year. It foretells nothing: it is
 * for trying a program before seeding, and for want of anything better.
 */
export function epwSource({ file: name }: EpwConfig, context: WeatherContext): WeatherSource {
  const file = fileReader({
    path: resolve(context.baseFolder, name),
    name,
    mostBytes: MOST_BYTES,
    make: ({ text }) => readEpw(text, name),
  });
  return {
    kind: 'epw',
    read: async (request) => {
      const { made: epw, problems: fallen } = await file();
      const { hours, missing } = layOver(epw, request, context);
      const problems = [
        ...fallen,
        ...epw.problems,
        ...farAway(epw, name, context),
        ...missing(name),
      ];
      return {
        source: `typical year, not a forecast: ${epw.place} (${name})`,
        hours,
        asOfMs: null,
        problems: summarizeRepeats(problems),
      };
    },
  };
}

function layOver(epw: EpwFile, request: WeatherRequest, { clock }: WeatherContext) {
  const wanted = hoursOf(hourGrid(request.fromMs, request.toMs));
  const hours = wanted.flatMap((startMs): RawHour[] => {
    const found = hourAt(epw, startMs);
    if (!found) return [];
    const { line: _line, rainImpossible: _rain, ...values } = found;
    const origin = startMs < request.nowMs ? 'observed' : 'forecast';
    return [{ startMs, origin, ...values, windHeightM: WIND_HEIGHT_M }];
  });
  const present = new Set(hours.map(({ startMs }) => startMs));
  return {
    hours,
    missing: (where: string): WeatherProblem[] => nameGaps(wanted, present, { where, clock }),
  };
}

/** The file's hour in its own standard time; a 29 February that it lacks is as the 28th. */
function hourAt(epw: EpwFile, startMs: number): EpwHour | undefined {
  const standard = new Date(startMs + epw.offsetMs);
  const month = standard.getUTCMonth() + 1;
  const day = standard.getUTCDate();
  const hour = standard.getUTCHours();
  const found = epw.hours.get(epwKey(month, day, hour));
  if (found || month !== 2 || day !== 29) return found;
  return epw.hours.get(epwKey(2, 28, hour));
}

function farAway(epw: EpwFile, where: string, site: WeatherContext): WeatherProblem[] {
  const eastDeg = Math.abs(epw.longitudeDeg - site.longitudeDeg);
  const awayDeg = Math.max(
    Math.abs(epw.latitudeDeg - site.latitudeDeg),
    Math.min(eastDeg, 360 - eastDeg),
  );
  if (awayDeg <= FAR_AWAY_DEG) return [];
  const got = `${epw.place} at ${epw.latitudeDeg}, ${epw.longitudeDeg}`;
  const what = `the typical year is of a place ${awayDeg.toFixed(1)}° from the site (got ${got})`;
  return [{ where: `${where}:1`, what, done: 'used as it is' }];
}

/** One hour of a typical year. */
interface EpwHour {
  line: number;
  airTempC: number | null;
  dewPointC: number | null;
  relativeHumidityPct: number | null;
  windMPerS: number | null;
  solarMjPerM2: number | null;
  rainMm: number | null;
  /** True when the line's rain was more than can fall in an hour. */
  rainImpossible: boolean;
}

/** A file of the EnergyPlus weather format. */
interface EpwFile {
  place: string;
  latitudeDeg: number;
  longitudeDeg: number;
  /** Local standard time minus UTC. */
  offsetMs: number;
  /** By `epwKey(month, day, hour)`, the hour from 0 to 23 as it begins. */
  hours: Map<string, EpwHour>;
  problems: WeatherProblem[];
}

interface EpwColumn {
  field: MeasuredField;
  /** Position among the fields of a line, from 0. */
  index: number;
  /** From this on the format says "missing". */
  missingFrom: number;
  factor: number;
}

// Positions and codes for missing values: EnergyPlus, Auxiliary Programs, "EnergyPlus Weather File
// (EPW) Data Dictionary" (US Department of Energy). Global horizontal radiation is in Wh/m².
const COLUMNS: readonly EpwColumn[] = [
  { field: 'airTempC', index: 6, missingFrom: 99.9, factor: 1 },
  { field: 'dewPointC', index: 7, missingFrom: 99.9, factor: 1 },
  { field: 'relativeHumidityPct', index: 8, missingFrom: 999, factor: 1 },
  { field: 'solarMjPerM2', index: 13, missingFrom: 9999, factor: 0.0036 },
  { field: 'windMPerS', index: 21, missingFrom: 999, factor: 1 },
  { field: 'rainMm', index: 33, missingFrom: 999, factor: 1 },
];
const HEADER_LINES = 8;
/** Wind speed is the last field that an hour cannot do without; older files end before the rain. */
const LEAST_FIELDS = 22;

/** Names an hour of any year. */
function epwKey(month: number, day: number, hour: number): string {
  return `${month}-${day}-${hour}`;
}

/**
 * Reads a typical year, in slices.
 * @throws WeatherUnreadable when the header is not of the format or no hour can be read.
 */
export async function readEpw(text: string, name: string): Promise<EpwFile> {
  const lines = text.split('\n');
  const location = splitHeader(lines[0] ?? '');
  if (location[0]?.toUpperCase() !== 'LOCATION') {
    throw new WeatherUnreadable(
      `${name}:1: this is no EPW file (got ${(lines[0] ?? '').slice(0, 40)}); its first line must begin with LOCATION`,
    );
  }
  const [latitudeDeg, longitudeDeg, offsetH] = [6, 7, 8].map((index) => number(location[index]));
  const placed = within(latitudeDeg, 90) && within(longitudeDeg, 180) && within(offsetH, 14);
  if (!placed) {
    throw new WeatherUnreadable(
      `${name}:1: latitude, longitude and time zone cannot be read (got ${location.slice(6, 9).join(', ')}); get the file again`,
    );
  }
  const perHour = number(splitHeader(lines[HEADER_LINES - 1] ?? '')[2]);
  if (perHour !== 1) {
    throw new WeatherUnreadable(
      `${name}:${HEADER_LINES}: only files with one record an hour are read (got ${(lines[HEADER_LINES - 1] ?? '').slice(0, 40)}); get an hourly file`,
    );
  }
  const file: EpwFile = {
    place: [location[1], location[2]].filter(Boolean).join(', '),
    latitudeDeg: latitudeDeg ?? 0,
    longitudeDeg: longitudeDeg ?? 0,
    offsetMs: (offsetH ?? 0) * 3_600_000,
    hours: new Map(),
    problems: [],
  };
  const breath = timeSlice();
  const problems = problemList(name);
  for (let index = HEADER_LINES; index < lines.length; index++) {
    const line = lines[index] ?? '';
    if (line.trim() !== '') readHour(line, { name, line: index + 1, hours: file.hours, problems });
    if (breath.due()) await breath.rest();
  }
  file.problems = problems.all();
  distrustRain(file, name);
  if (file.hours.size === 0) {
    throw new WeatherUnreadable(
      `${name}: there is no whole hour in the file (got ${lines.length} lines); get the file again`,
    );
  }
  return file;
}

function readHour(
  text: string,
  {
    name,
    line,
    hours,
    problems,
  }: { name: string; line: number; hours: EpwFile['hours']; problems: ProblemList },
): void {
  const where = `${name}:${line}`;
  const fields = text.split(',');
  if (fields.length < LEAST_FIELDS) {
    const what = `the line is not whole (got ${fields.length} of 35 fields)`;
    problems.add({ where, what, done: 'left out' });
    return;
  }
  const [month = null, day = null, hour = null] = fields.slice(1, 4).map(number);
  if (month === null || day === null || hour === null || !isDate(month, day, hour)) {
    const what = `month, day and hour cannot be read (got ${fields.slice(1, 4).join(', ').slice(0, 40)})`;
    problems.add({ where, what, done: 'left out' });
    return;
  }
  const made: EpwHour = {
    line,
    airTempC: null,
    dewPointC: null,
    relativeHumidityPct: null,
    windMPerS: null,
    solarMjPerM2: null,
    rainMm: null,
    rainImpossible: false,
  };
  for (const { field, index, missingFrom, factor } of COLUMNS) {
    const written = number(fields[index]);
    if (fields[index] !== undefined && fields[index].trim() !== '' && written === null) {
      const what = `field ${index + 1} is no number (got ${fields[index].slice(0, 30)})`;
      problems.add({ where, what, done: 'value left out' });
    }
    if (written === null || written >= missingFrom) continue;
    const judged = checkBounds(field, written * factor);
    made[field] = judged.value;
    if (judged.problem !== null) {
      if (field === 'rainMm') made.rainImpossible = true;
      problems.add({ where, what: judged.problem, done: 'value left out' });
    }
  }
  const key = epwKey(month, day, hour - 1);
  const before = hours.get(key);
  if (before) {
    const what = `the hour comes again on line ${line} (got month ${month}, day ${day}, hour ${hour} twice)`;
    const done = 'left out, the later line kept';
    problems.add({ where: `${name}:${before.line}`, what, done });
  }
  hours.set(key, made);
}

/**
 * Rain is the field that makers of these files fill least carefully, often in other units than the
 * format's. One hour that cannot be shows that the whole column is not in millimetres.
 */
function distrustRain(file: EpwFile, name: string): void {
  const hours = [...file.hours.values()];
  if (!hours.some(({ rainImpossible }) => rainImpossible)) return;
  const sumMm = hours.reduce((sum, { rainMm }) => sum + (rainMm ?? 0), 0);
  for (const hour of hours) hour.rainMm = null;
  const what = `the rain of this file is not in mm (got hours that cannot be, and ${Math.round(sumMm)} mm in the year beside them)`;
  file.problems.push({ where: name, what, done: 'all rain left out' });
}

function isDate(month: number, day: number, hour: number): boolean {
  if (![month, day, hour].every(Number.isInteger) || hour < 1 || hour > 24) return false;
  const date = new Date(Date.UTC(2024, month - 1, day));
  return date.getUTCMonth() === month - 1 && date.getUTCDate() === day;
}

/** Header fields may stand in quotes. */
function splitHeader(line: string): string[] {
  return line.split(',').map((field) => field.trim().replace(/^"|"$/g, ''));
}

function number(text: string | undefined): number | null {
  if (text === undefined || !/^\s*[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?\s*$/i.test(text)) return null;
  return Number(text);
}

function within(value: number | null | undefined, bound: number): boolean {
  return value !== null && value !== undefined && Math.abs(value) <= bound;
}
