import type { RawHour } from '../../calc/sky/weather-hour.ts';
import type { ColumnUnit, StationField } from './column-units.ts';
import type { TimedRow } from './hour-bins.ts';
import { HOUR_MS, type HourGrid } from './hour-grid.ts';
import type { TelemetryReading } from './mqtt-message.ts';
import type { WeatherProblem } from './source.ts';
import { hourOfBin } from './station-hour.ts';

/** How readings become hours. */
export interface TelemetryHours {
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
