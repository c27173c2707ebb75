import type { LocalTime } from '../site-clock.ts';
import type { TimeColumns } from './csv-config.ts';
import { calendarTime, patternReader } from './stamp-pattern.ts';
import type { StampClock } from './zone-name.ts';

/** A row's time: an instant where the text has an offset, else a wall-clock time. */
export type Stamp = { kind: 'instant'; atMs: number } | { kind: 'local'; local: LocalTime };

/** Reads the time columns of a row. */
export interface StampReader {
  /** Positions of the columns that hold the time. */
  indexes: number[];
  /** The time, or null when it cannot be read. */
  read(cells: string[]): Stamp | null;
}

const ISO =
  /^(\d{4})-(\d{2})-(\d{2})[T ](\d{2})(?::?(\d{2})(?::?\d{2}(?:[.,]\d+)?)?)?\s*(Z|[+-]\d{2}(?::?\d{2})?)?$/i;

/** A reader of the time columns that the config names; `indexOf` finds a column's position. */
export function stampReader(time: TimeColumns, indexOf: (column: string) => number): StampReader {
  switch (time.form) {
    case 'iso': {
      const index = indexOf(time.column);
      return { indexes: [index], read: (cells) => parseIso(cells[index] ?? '') };
    }
    case 'pattern': {
      const index = indexOf(time.column);
      return patterned([index], time.pattern);
    }
    case 'date_and_time':
      return patterned([indexOf(time.date), indexOf(time.time)], time.pattern);
    case 'parts':
      return parts(
        [time.year, time.month, time.day, time.hour].map(indexOf),
        time.minute === undefined ? null : indexOf(time.minute),
      );
  }
}

/** ISO 8601 to the minute or finer, with or without an offset; a space may stand for the T. */
export function parseIso(text: string): Stamp | null {
  const found = ISO.exec(text);
  if (!found) return null;
  const [, year, month, day, hour, minute = '0', offset] = found;
  const local = calendarTime({
    year: Number(year),
    month: Number(month),
    day: Number(day),
    hour: Number(hour),
    minute: Number(minute),
  });
  if (!local) return null;
  if (offset === undefined) return { kind: 'local', local };
  return { kind: 'instant', atMs: asUtcMs(local) - offsetMs(offset) };
}

/** The stamp as if the wall clock ran in UTC: within 14 hours of the instant. */
export function roughMs(stamp: Stamp): number {
  return stamp.kind === 'instant' ? stamp.atMs : asUtcMs(stamp.local);
}

/**
 * The instant of a stamp. An hour that the clock repeats in autumn is the second one when the row
 * before it already stands in or after the first.
 */
export function instantOfStamp(stamp: Stamp, clock: StampClock, previousMs: number | null): number {
  if (stamp.kind === 'instant') return stamp.atMs;
  const firstMs = clock.instantOf(stamp.local);
  if (previousMs === null || previousMs < firstMs) return firstMs;
  const secondMs = firstMs + 3_600_000;
  const again = clock.localOf(secondMs);
  const repeated = again.hour === stamp.local.hour && again.minute === stamp.local.minute;
  return repeated && secondMs > previousMs ? secondMs : firstMs;
}

function patterned(indexes: number[], pattern: string): StampReader {
  const read = patternReader(pattern);
  return {
    indexes,
    read: (cells) => {
      const local = read?.(indexes.map((index) => cells[index] ?? '').join(' '));
      return local ? { kind: 'local', local } : null;
    },
  };
}

function parts(dateIndexes: number[], minuteIndex: number | null): StampReader {
  const indexes = minuteIndex === null ? dateIndexes : [...dateIndexes, minuteIndex];
  return {
    indexes,
    read: (cells) => {
      const texts = indexes.map((index) => cells[index] ?? '');
      if (texts.some((text) => !/^\d+$/.test(text))) return null;
      const [year = 0, month = 0, day = 0] = texts.map(Number);
      const [hour, minute] = hourAndMinute(texts[3] ?? '', texts[4] ?? null);
      const local = calendarTime({ year, month, day, hour, minute });
      return local ? { kind: 'local', local } : null;
    },
  };
}

/** Loggers write the hour as 13 or, with the minutes, as 1300. */
function hourAndMinute(hour: string, minute: string | null): [number, number] {
  if (minute !== null) return [Number(hour), Number(minute)];
  if (hour.length <= 2) return [Number(hour), 0];
  return [Number(hour.slice(0, -2)), Number(hour.slice(-2))];
}

function asUtcMs({ year, month, day, hour, minute }: LocalTime): number {
  return Date.UTC(year, month - 1, day, hour, minute);
}

function offsetMs(offset: string): number {
  if (/^z$/i.test(offset)) return 0;
  const digits = offset.slice(1).replace(':', '');
  const minutes = Number(digits.slice(0, 2)) * 60 + Number(digits.slice(2) || '0');
  return (offset.startsWith('-') ? -1 : 1) * minutes * 60_000;
}
