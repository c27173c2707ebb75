import type { StationField } from './measured-fields.ts';

export const HOUR_MS = 3_600_000;

/**
 * The hours that a request asks for: they begin at `firstMs`, an hour later, and so on. Where the
 * hours begin is the asker's choice, so that zones that stand half an hour beside UTC can have the
 * full hours of their own clock.
 */
export interface HourGrid {
  firstMs: number;
  /** The hours end before or at this. */
  endMs: number;
  /** Beginning of the hour that an instant is in. */
  hourOf(instantMs: number): number;
}

export function hourGrid(fromMs: number, toMs: number): HourGrid {
  return {
    firstMs: fromMs,
    endMs: toMs,
    hourOf: (instantMs) => fromMs + Math.floor((instantMs - fromMs) / HOUR_MS) * HOUR_MS,
  };
}

/** Every whole hour of the grid, in order. */
export function hoursOf({ firstMs, endMs }: HourGrid): number[] {
  const hours: number[] = [];
  for (let startMs = firstMs; startMs + HOUR_MS <= endMs; startMs += HOUR_MS) hours.push(startMs);
  return hours;
}

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
