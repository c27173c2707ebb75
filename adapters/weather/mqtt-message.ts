import { columnUnit, type StationField } from './column-units.ts';
import { atPointer, cellOf } from './json-pointer.ts';
import { jsonStampReader } from './json-stamp.ts';
import { type MqttReading, told } from './mqtt-config.ts';
import type { CheckRule } from './source.ts';
import { instantOfStamp } from './stamps.ts';
import { judgeRow } from './station-hour.ts';
import { NUMBER } from './station-rows.ts';
import type { StampClock } from './zone-name.ts';

/** A reading is small; anything larger is none. */
const MOST_BYTES = 16 * 1024;
/** A station's clock may be a little ahead. */
const MOST_AHEAD_MS = 120_000;

/** Values at an instant, in the project's units (see `ColumnUnit`). */
export interface TelemetryReading {
  atMs: number;
  values: Partial<Record<StationField, number>>;
}

/** What is wrong in a message or in one of its values. */
export interface MessageFault {
  what: string;
  done: string;
  rule?: CheckRule;
}

/**
 * What a message says. Its time is its stamp, or when it came; a message that the broker had kept
 * and that has no stamp may be of any age and says nothing.
 */
export function readMessage(
  payload: Uint8Array,
  reading: MqttReading,
  given: { nowMs: number; retained: boolean; clock: StampClock },
): { reading: TelemetryReading | null; faults: MessageFault[] } {
  const refuse = (what: string, rule?: CheckRule) => ({
    reading: null,
    faults: [{ what, done: 'message left out', ...(rule ? { rule } : {}) }],
  });
  if (payload.byteLength > MOST_BYTES) {
    return refuse(`a message is too long (got ${payload.byteLength} bytes)`);
  }
  const text = utf8(payload);
  if (text === null) return refuse(`a message is no UTF-8 (got ${payload.byteLength} bytes)`);
  const fields = told(reading.fields);
  const plain = fields.every(([, { at }]) => at === undefined);
  const body = plain ? text.trim() : json(text);
  if (body === undefined) return refuse(`a message is no JSON (got ${text.slice(0, 30)})`);
  if (reading.time === undefined && given.retained) {
    return refuse(
      `a kept message has no stamp, so that its age is not known (got ${text.slice(0, 30)})`,
      'retained_unstamped',
    );
  }
  const atMs =
    reading.time === undefined ? given.nowMs : instantOf(body, reading.time, given.clock);
  if (atMs === null) {
    return refuse(`a message's time cannot be read (got ${text.slice(0, 40)})`);
  }
  if (atMs > given.nowMs + MOST_AHEAD_MS) {
    const aheadMin = Math.round((atMs - given.nowMs) / 60_000);
    return refuse(`a message is stamped later than now (got ${aheadMin} min)`, 'future_stamp');
  }
  const values: TelemetryReading['values'] = {};
  const faults: MessageFault[] = [];
  let found = 0;
  for (const [field, { at, unit }] of fields) {
    const value = at === undefined ? body : atPointer(body, at);
    if (value === undefined) continue;
    found += 1;
    const cell = cellOf(value);
    // A sensor that says null has nothing to say; an empty payload is broken.
    if (cell === '' && at !== undefined) continue;
    const judged = judgedValue(field, cell, unit);
    if (typeof judged === 'number') values[field] = judged;
    else faults.push(judged);
  }
  if (found === 0) return refuse(`a message has none of the values (got ${text.slice(0, 40)})`);
  return { reading: Object.keys(values).length === 0 ? null : { atMs, values }, faults };
}

function judgedValue(field: StationField, cell: string, spelling: string): number | MessageFault {
  const unit = columnUnit(field, spelling);
  if (unit === null || !NUMBER.test(cell)) {
    return { what: `${field} is no number (got ${cell.slice(0, 30)})`, done: 'value left out' };
  }
  // Amounts are of a part of the hour that is not known yet: no more than the hour's may be.
  const rowsPerHour = unit.kind === 'sum' ? 1 : 2;
  const judged = judgeRow(field, unit.convert(Number(cell)), { unit, rowsPerHour });
  if (judged.value !== null) return judged.value;
  return { what: judged.problem ?? `${field} cannot be`, done: 'value left out', rule: 'range' };
}

function instantOf(
  body: unknown,
  time: NonNullable<MqttReading['time']>,
  clock: StampClock,
): number | null {
  const stamp = jsonStampReader(time)(cellOf(atPointer(body, time.at)));
  return stamp === null ? null : instantOfStamp(stamp, clock, null);
}

function utf8(payload: Uint8Array): string | null {
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(payload);
  } catch {
    return null;
  }
}

function json(text: string): unknown {
  try {
    return JSON.parse(text) as unknown;
  } catch {
    return undefined;
  }
}
