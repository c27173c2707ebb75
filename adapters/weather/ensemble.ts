import { z } from 'zod';
import type { RawHour } from '../../calc/sky/weather-hour.ts';
import { HOUR_MS } from './hour-grid.ts';
import type { WeatherProblem, WeatherReading } from './source.ts';

/** Stands in a pointer for the number of a member. */
export const MEMBER_MARK = '{member}';

const MOST_MEMBERS = 200;

/** The members of an ensemble: their numbers take the place of `{member}` in the pointers. */
export const membersSchema = z
  .strictObject({
    from: z.int().min(0).max(9999).default(1).describe('number of the first member'),
    to: z.int().min(0).max(9999).describe('number of the last member'),
    digits: z
      .int()
      .min(1)
      .max(4)
      .default(1)
      .describe('digits of a number, zeros before it; 2 writes 01'),
  })
  .refine(({ from, to }) => to > from && to - from < MOST_MEMBERS, {
    path: ['to'],
    error: (issue) => {
      const { to } = issue.input as { to: number };
      return `does not end a list of 2 to ${MOST_MEMBERS} members (got ${to}); give from below to`;
    },
  });

type Members = z.output<typeof membersSchema>;

/** The numbers of the members as they stand in pointers, in order. */
export function memberNames({ from, to, digits }: Members): string[] {
  return Array.from({ length: to - from + 1 }, (_, index) =>
    String(from + index).padStart(digits, '0'),
  );
}

/** A pointer of one member. */
export function memberPointer(pointer: string, name: string): string {
  return pointer.replaceAll(MEMBER_MARK, name);
}

const MEANT = [
  'airTempC',
  'dewPointC',
  'relativeHumidityPct',
  'windMPerS',
  'solarMjPerM2',
  'rainMm',
] as const;

/**
 * The readings of an ensemble's members as one: its hours are the means over the members that tell a
 * value, and the members' own hours stand beside them. What is wrong in many members alike is told once.
 *
 * @param readings One for each member, one at least.
 */
export function ensembleReading(
  first: WeatherReading,
  others: readonly WeatherReading[],
): WeatherReading {
  const readings = [first, ...others];
  const byHour = new Map<number, RawHour[]>();
  for (const { hours } of readings) {
    for (const hour of hours) {
      const told = byHour.get(hour.startMs);
      if (told === undefined) byHour.set(hour.startMs, [hour]);
      else told.push(hour);
    }
  }
  const hours = [...byHour.values()].flatMap(meanHour).sort((a, b) => a.startMs - b.startMs);
  return {
    ...first,
    hours,
    problems: toldOnce(readings.flatMap(({ problems }) => problems)),
    members: readings.map((one) => one.hours),
  };
}

function meanHour(told: readonly RawHour[]): RawHour[] {
  const [first] = told;
  if (first === undefined) return [];
  const mean = { ...first };
  for (const field of MEANT) {
    const values = told.flatMap((hour) => hour[field] ?? []);
    const sum = values.reduce((total, value) => total + value, 0);
    mean[field] = values.length > 0 ? sum / values.length : null;
  }
  return [mean];
}

function toldOnce(problems: readonly WeatherProblem[]): WeatherProblem[] {
  const key = ({ where, what, done }: WeatherProblem) => [where, what, done].join('\n');
  return [...new Map(problems.map((problem) => [key(problem), problem])).values()];
}

/**
 * The members' hours that are of the hours given: those that were believed of the source, and that are
 * not over.
 */
export function believedMembers(
  members: readonly (readonly RawHour[])[],
  believed: readonly RawHour[],
  { source, nowMs }: { source: string; nowMs: number },
): RawHour[][] {
  const starts = new Set(
    believed
      .filter(({ startMs, told }) => told?.source === source && startMs + HOUR_MS > nowMs)
      .map(({ startMs }) => startMs),
  );
  return members.map((hours) => hours.filter(({ startMs }) => starts.has(startMs)));
}
