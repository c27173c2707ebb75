import { parse } from 'csv-parse/sync';
import { z } from 'zod';

/** One run as the receiver tells it. */
export interface RanRow {
  stationId: string;
  startMs: number;
  runS: number;
  /** Null when the receiver does not measure it. */
  flowLPerMin: number | null;
}

/** A row may be told ahead of our clock by this much: two clocks never agree. */
const AHEAD_MS = 10 * 60_000;
const DAY_S = 86_400;
const FLOW_COLUMNS = ['flow_l_per_min', 'flow'];

const rowSchema = z.object({
  station: z.string().min(1).max(80),
  start: z.iso.datetime({ offset: true }),
  run_seconds: z.coerce.number().min(0).max(DAY_S),
  flow: z.union([z.null(), z.coerce.number().min(0).max(1e6)]),
});

/** Reads one line: the run, or what is wrong with it. */
export type RanReader = (line: { text: string; number: number; nowMs: number }) => RanRow | string;

/**
 * A reader of lines under `station,start,run_seconds` and, where it stands, `flow_l_per_min`, in any
 * sequence of columns; a text where the header does not name them. Pure. Every line is judged by
 * itself, so one that is wrong spoils no other.
 *
 * @param name The file as the config writes it, for the problems.
 */
export function ranReader(header: string, name: string): RanReader | string {
  const delimiter = header.includes(';') && !header.includes(',') ? ';' : ',';
  const columns = (cellsOf(header, delimiter) ?? []).map((cell) => cell.toLowerCase());
  const at = (names: readonly string[]) => columns.findIndex((column) => names.includes(column));
  const places: Places = {
    station: at(['station']),
    start: at(['start']),
    run: at(['run_seconds']),
    flow: at(FLOW_COLUMNS),
  };
  if (Math.min(places.station, places.start, places.run) < 0) {
    return `${name}: there are no columns station,start,run_seconds (got ${short(header)}); write them into the first line`;
  }
  return ({ text, number, nowMs }) => {
    const row = readRow(text, cellsOf(text, delimiter), places, nowMs);
    return typeof row === 'string' ? `${name}:${number}: ${row}; the line was left out` : row;
  };
}

interface Places {
  station: number;
  start: number;
  run: number;
  /** -1 where the file tells of no flow. */
  flow: number;
}

/** The row, or what is wrong with it. */
function readRow(
  line: string,
  cells: string[] | null,
  places: Places,
  nowMs: number,
): RanRow | string {
  if (cells === null) return `is no line of values (got ${short(line)})`;
  // An empty cell would count as 0.
  const cell = (place: number) => (cells[place] === '' ? undefined : cells[place]);
  const { success, data, error } = rowSchema.safeParse({
    station: cell(places.station),
    start: cell(places.start),
    run_seconds: cell(places.run),
    flow: cell(places.flow) ?? null,
  });
  if (!success) {
    const fields = [...new Set(error.issues.map(({ path }) => path.join('.')))];
    return `does not fit in ${fields.join(', ')} (got ${short(line)})`;
  }
  const startMs = Date.parse(data.start);
  if (startMs > nowMs + AHEAD_MS) return `lies in the future (got ${data.start})`;
  const { station: stationId, run_seconds: runS, flow: flowLPerMin } = data;
  return { stationId, startMs, runS, flowLPerMin };
}

function cellsOf(line: string, delimiter: string): string[] | null {
  try {
    const records = parse(line, { delimiter, trim: true }) as string[][];
    return records.length === 1 ? (records[0] ?? null) : null;
  } catch {
    return null;
  }
}

function short(text: string): string {
  return text.length > 60 ? `${text.slice(0, 57)}...` : text;
}
