import { setImmediate as nextTurn } from 'node:timers/promises';
import type { RawHour } from '../../calc/sky/weather-hour.ts';
import { HOUR_MS, type HourGrid, type TimedRow } from './hour-grid.ts';
import type { ColumnUnit, StationField } from './measured-fields.ts';
import type { TelemetryReading } from './mqtt-message.ts';
import type { KeptWeather, WeatherMemory, WeatherProblem } from './source.ts';
import { hourOfBin } from './station-values.ts';

/** Written together: a memory that is safe against a power cut is slow for each write. */
const FLUSH_MS = 2000;
/** Of one write: nothing else has its turn until the disk has it. */
const BATCH = 500;
const PAUSE_MS = 50;
/**
 * A broker gone mad must fill neither the disk nor the time of whoever reads it back; one that hands
 * out a day of eight sensors after an absence may.
 */
const MOST_AT_ONCE = 20_000;
const MOST_A_MINUTE = 600;
/** Refused messages that are kept to be told, in ten minutes; the rest are of the same kind. */
const MOST_REFUSED = 10;
const MINUTE_MS = 60_000;
const REFUSED_FOR_MS = 10 * MINUTE_MS;
/** Read back at once; days of readings are read with turns for everything else in between. */
const STRETCH_MS = 6 * 3_600_000;

/** What came over a broker, kept so that a restart forgets none of it. */
interface TelemetryMemory {
  add(reading: TelemetryReading): void;
  refuse(atMs: number, problem: WeatherProblem): void;
  /** Everything from an instant up to another, oldest first, and the problems of that time. */
  between(span: { fromMs: number; toMs: number }): Promise<{
    readings: TelemetryReading[];
    problems: WeatherProblem[];
  }>;
  newestMs(): Promise<number | null>;
  /** Writes what waits. */
  flush(): void;
}

export function telemetryMemory(
  memory: WeatherMemory = inProcess(),
  source: string,
  {
    onFault,
    name,
    steadyMs = () => performance.now(),
  }: { onFault(error: unknown): void; name: string; steadyMs?(): number },
): TelemetryMemory {
  const readings: KeptWeather[] = [];
  let refused: KeptWeather[] = [];
  let timer: NodeJS.Timeout | null = null;
  /** Readings that may come yet, and when they were counted; they grow again with time. */
  let room = { atMs: steadyMs(), readings: MOST_AT_ONCE };
  let flooded = false;
  let few = { sinceMs: steadyMs(), refused: 0 };
  const refusals = `${source} refused`;
  /** Writes some of what waits; false where the memory took nothing. */
  const write = (): boolean => {
    if (timer !== null) clearTimeout(timer);
    timer = null;
    try {
      const some = readings.slice(0, BATCH);
      if (some.length > 0) memory.remember(source, some);
      readings.splice(0, some.length);
      if (refused.length > 0) memory.remember(refusals, refused);
      refused = [];
      if (readings.length > 0) later(PAUSE_MS);
      return true;
    } catch (error) {
      // Kept for the next time: a disk may have room again.
      onFault(error);
      later(FLUSH_MS);
      return false;
    }
  };
  const later = (ms = FLUSH_MS) => {
    timer ??= setTimeout(write, ms);
    timer.unref();
  };
  const writeAll = async () => {
    while (readings.length + refused.length > 0 && write()) await nextTurn();
  };
  const refuse = (atMs: number, problem: WeatherProblem) => {
    const nowMs = steadyMs();
    if (nowMs - few.sinceMs >= REFUSED_FOR_MS) few = { sinceMs: nowMs, refused: 0 };
    few.refused++;
    if (few.refused > MOST_REFUSED) return;
    refused.push({ atMs, content: JSON.stringify(problem) });
    later();
  };
  return {
    add({ atMs, values }) {
      const nowMs = steadyMs();
      const grown = ((nowMs - room.atMs) / MINUTE_MS) * MOST_A_MINUTE;
      room = { atMs: nowMs, readings: Math.min(MOST_AT_ONCE, room.readings + grown) };
      if (room.readings < 1 || readings.length >= MOST_AT_ONCE) {
        if (!flooded) {
          const what = `readings come too often (got more than ${MOST_A_MINUTE} in a minute)`;
          refuse(atMs, { where: name, what, done: 'the rest left out' });
        }
        flooded = true;
        return;
      }
      room.readings -= 1;
      if (room.readings > MOST_A_MINUTE) flooded = false;
      readings.push({ atMs, content: JSON.stringify(values) });
      later();
    },
    refuse,
    async between({ fromMs, toMs }) {
      await writeAll();
      const found: TelemetryReading[] = [];
      for (let at = fromMs; at < toMs; at += STRETCH_MS) {
        const stretch = { fromMs: at, toMs: Math.min(toMs, at + STRETCH_MS) };
        for (const { atMs, content } of memory.recall(source, stretch)) {
          const values = parsed(content);
          if (values) found.push({ atMs, values: values as TelemetryReading['values'] });
        }
        await nextTurn();
      }
      return {
        readings: found,
        problems: memory.recall(refusals, { fromMs, toMs }).flatMap(({ content }) => {
          const problem = parsed(content);
          return problem ? [problem as unknown as WeatherProblem] : [];
        }),
      };
    },
    async newestMs() {
      await writeAll();
      return memory.newest(source)?.atMs ?? null;
    },
    flush() {
      while (readings.length + refused.length > 0 && write());
    },
  };
}

function parsed(content: string): Record<string, unknown> | null {
  try {
    return JSON.parse(content) as Record<string, unknown>;
  } catch {
    return null;
  }
}

/** Where there is no daemon to remember, the process does. */
function inProcess(): WeatherMemory {
  const kept = new Map<string, KeptWeather[]>();
  const of = (source: string) => kept.get(source) ?? [];
  return {
    remember: (source, entries) => {
      const all = [...of(source), ...entries];
      kept.set(source, all.sort((a, b) => a.atMs - b.atMs).slice(-100_000));
    },
    recall: (source, { fromMs, toMs }) =>
      of(source).filter(({ atMs }) => atMs >= fromMs && atMs < toMs),
    newest: (source) => of(source).at(-1) ?? null,
  };
}

/** How readings become hours. */
interface TelemetryHours {
  where: string;
  units: ReadonlyMap<StationField, ColumnUnit>;
  grid: HourGrid;
  stamps: 'hour_beginning' | 'hour_ending';
  windHeightM: number;
  nowMs: number;
}

/**
 * The hours of readings that come when they come: levels averaged, amounts added up, each field by
 * its own pace. An hour that is not over yet is left for later.
 * @param readings In order of time.
 */
export function telemetryHours(
  readings: readonly TelemetryReading[],
  how: TelemetryHours,
): { hours: RawHour[]; problems: WeatherProblem[] } {
  const { where, units, grid, stamps } = how;
  const problems: WeatherProblem[] = [];
  const rows: TimedRow[] = [];
  const paces = new Map<StationField, number>();
  for (const field of units.keys()) {
    const own = withoutRepeats(readings, field, { where, problems });
    paces.set(field, readingsPerHour(own.map(({ atMs }) => atMs)));
    for (const { atMs, value } of own) {
      rows.push({ stampMs: atMs, line: 0, values: new Map([[field, value]]) });
    }
  }
  const bins = new Map<number, TimedRow[]>();
  for (const row of rows) {
    const startMs = grid.hourOf(stamps === 'hour_ending' ? row.stampMs - 1 : row.stampMs);
    const asked = startMs >= grid.firstMs && startMs + HOUR_MS <= grid.endMs;
    if (!asked || startMs + HOUR_MS > how.nowMs) continue;
    const bin = bins.get(startMs);
    if (bin) bin.push(row);
    else bins.set(startMs, [row]);
  }
  const columns = new Map([...units].map(([field, unit]) => [field, { unit }]));
  const hours = [...bins]
    .sort(([a], [b]) => a - b)
    .map(([startMs, bin]): RawHour => {
      const made = hourOfBin({ startMs, rows: bin }, columns, (field) => paces.get(field) ?? 1);
      const rule = 'range';
      for (const what of made.problems)
        problems.push({ where, what, done: 'value left out', rule });
      return { startMs, origin: 'observed', ...made.values, windHeightM: how.windHeightM };
    });
  return { hours, problems };
}

/** Each instant once; a broker may hand the same message out again, and that is nothing wrong. */
function withoutRepeats(
  readings: readonly TelemetryReading[],
  field: StationField,
  { where, problems }: { where: string; problems: WeatherProblem[] },
): { atMs: number; value: number }[] {
  const own = new Map<number, number>();
  for (const { atMs, values } of readings) {
    const value = values[field];
    if (value === undefined) continue;
    const before = own.get(atMs);
    if (before !== undefined && before !== value) {
      const what = `${field} comes twice at ${new Date(atMs).toISOString()} (got ${before} and ${value})`;
      const done = 'the later one kept';
      problems.push({ where, what, done, rule: 'duplicate_stamp' });
    }
    own.set(atMs, value);
  }
  return [...own].map(([atMs, value]) => ({ atMs, value }));
}

/** By the pause that lies in the middle of all pauses: clocks jitter and messages get lost. */
function readingsPerHour(atsMs: readonly number[]): number {
  const pauses = atsMs.flatMap((atMs, index) =>
    index === 0 ? [] : atMs - (atsMs[index - 1] ?? 0),
  );
  const middleMs = pauses.toSorted((a, b) => a - b)[Math.floor(pauses.length / 2)];
  if (middleMs === undefined || middleMs <= 0) return 1;
  return Math.max(1, Math.round(HOUR_MS / middleMs));
}
