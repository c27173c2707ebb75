import type { StationField } from './column-units.ts';
import { HOUR_MS, type HourGrid } from './hour-grid.ts';

/** A row of a station with its time, values in the project's units (see `ColumnUnit`). */
export interface TimedRow {
  stampMs: number;
  line: number;
  values: Map<StationField, number>;
}

/** The rows of one hour. */
export interface HourBin {
  startMs: number;
  rows: TimedRow[];
}

/** Spacing of the rows: the commonest, never above an hour. */
export function stepOf(stampsMs: readonly number[]): number {
  const counts = new Map<number, number>();
  stampsMs.forEach((stampMs, index) => {
    const spacing = stampMs - (stampsMs[index - 1] ?? Number.NaN);
    if (spacing > 0 && spacing <= HOUR_MS) counts.set(spacing, (counts.get(spacing) ?? 0) + 1);
  });
  let best = { stepMs: HOUR_MS, count: 0 };
  for (const [stepMs, count] of counts) if (count > best.count) best = { stepMs, count };
  return best.stepMs;
}

/** Rows, in order of time, sorted into the hours that they are of. */
export function binByHour<Row extends { stampMs: number }>(
  rows: readonly Row[],
  grid: HourGrid,
  stamps: 'hour_beginning' | 'hour_ending',
): { startMs: number; rows: Row[] }[] {
  const bins: { startMs: number; rows: Row[] }[] = [];
  for (const row of rows) {
    // A row that ends on the full hour is of the hour before.
    const startMs = grid.hourOf(stamps === 'hour_ending' ? row.stampMs - 1 : row.stampMs);
    const last = bins.at(-1);
    if (last?.startMs === startMs) last.rows.push(row);
    else bins.push({ startMs, rows: [row] });
  }
  return bins;
}

/** Mean of what the rows have; null when fewer than half of the hour's rows have it. */
export function meanOf(bin: HourBin, field: StationField, rowsPerHour: number): number | null {
  const values = valuesOf(bin, field);
  if (values.length === 0 || values.length * 2 < rowsPerHour) return null;
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}

/** Sum of what the rows have; null when none has it. */
export function sumOf(bin: HourBin, field: StationField): number | null {
  const values = valuesOf(bin, field);
  return values.length === 0 ? null : values.reduce((sum, value) => sum + value, 0);
}

function valuesOf(bin: HourBin, field: StationField): number[] {
  return bin.rows.flatMap((row) => row.values.get(field) ?? []);
}
