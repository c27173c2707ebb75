import type { DisplayUnits } from '../../../adapters/display-units.ts';
import { isMap } from '../../site/config/bounded-input.ts';
import { BED_COLUMNS, type ColumnKeys, STATION_COLUMNS } from '../../site/config/tables.ts';
import { type PastedTable, pastedTable } from './pasted-table.ts';
import { BED_ORDER, BED_TABLE, STATION_ORDER, STATION_TABLE } from './table-columns.ts';
import { shortId } from './typed-values.ts';

/** Entries as the config holds them, from a pasted table. */
export interface TableEntries extends Omit<PastedTable, 'rows' | 'named'> {
  /** Null: the cell was emptied, and the key goes. */
  entries: Record<string, unknown>[];
}

/** Beds from a pasted or typed table; a bed without an id gets one from its name. */
export function bedEntries(text: string, units: DisplayUnits): TableEntries {
  const { rows, named, told, problems } = pastedTable(text, {
    columns: BED_TABLE,
    order: BED_ORDER,
    units,
  });
  const { name: heading } = named;
  const entries = rows.map(({ id, name: cell, ...rest }) => {
    const name = cell === undefined ? undefined : nameOf(cell, heading);
    const short = id ?? shortId(name ?? '');
    const called = name === undefined || name === short ? {} : { name };
    return { id: short, ...called, ...emptied(named, rest), ...rest };
  });
  if (rows.some(({ id }) => id === undefined)) told.push('Ids of beds are made from their names.');
  return { entries, told, problems };
}

/** A bare number below "Green" is the name of Green 1: people and outputs read it without the table. */
function nameOf(cell: string, heading: string | undefined): string {
  const isWord = heading !== undefined && /^\p{L}+$/u.test(heading) && !/name/i.test(heading);
  return isWord && /^\d+[A-Za-z]?$/.test(cell) ? `${heading} ${cell}` : cell;
}

/** What a station may be without. */
const STATION_OPTIONAL = new Set(['main', 'lateral', 'rotation', 'measured']);

type TableHeadings = PastedTable['named'];

/** Nulls for cells that are empty under their heading; ids and names are never taken out so. */
function emptied(
  named: TableHeadings,
  row: Readonly<Record<string, string>>,
): Record<string, null> {
  const gone = Object.keys(named).filter(
    (key) => key !== 'id' && key !== 'name' && row[key] === undefined,
  );
  return Object.fromEntries(gone.map((key) => [key, null]));
}

/** Stations from a pasted or typed table; `beds` are those that their bed column can name. */
export function stationEntries(
  text: string,
  given: { units: DisplayUnits; beds: readonly { id: string; name?: string | undefined }[] },
): TableEntries {
  const { rows, named, told, problems } = pastedTable(text, {
    columns: STATION_TABLE,
    order: STATION_ORDER,
    units: given.units,
  });
  const tellOnce = (line: string) => {
    if (!told.includes(line)) told.push(line);
  };
  const bedOf = bedsByName(given.beds);
  const entries = rows.map((row, index) => {
    const { heads, bed, id, ...rest } = { ...row };
    const cells: StationCells = { ...rest };
    if (id !== undefined) cells.id = usableId(id, tellOnce);
    if (bed !== undefined) cells.bed = bedOf(bed);
    withSpacing(cells, tellOnce);
    withFlow(
      cells,
      heads,
      (message) => problems.push(`row ${index + 1}, heads: ${message}`),
      tellOnce,
    );
    const whole = Object.fromEntries(
      Object.entries(named).filter(([key]) => STATION_OPTIONAL.has(key)),
    );
    return { ...toEntry(cells), ...emptied(whole, row) };
  });
  return { entries, told, problems };
}

/** A station's cells by their columns. */
interface StationCells {
  id?: unknown;
  bed?: unknown;
  flow?: unknown;
  nozzle_flow?: unknown;
  head_spacing?: unknown;
  row_spacing?: unknown;
  triangular?: unknown;
  [column: string]: unknown;
}

/** Order in which an entry's keys are written. */
const ENTRY_KEYS = Object.keys(STATION_COLUMNS) as (keyof typeof STATION_COLUMNS)[];

function toEntry(cells: Readonly<StationCells>): Record<string, unknown> {
  const entry: Record<string, unknown> = {};
  for (const key of ENTRY_KEYS) {
    const value = cells[key];
    if (value === undefined) continue;
    const path = STATION_COLUMNS[key];
    let target = entry;
    for (const step of path.slice(0, -1)) {
      target[step] ??= {};
      target = target[step] as Record<string, unknown>;
    }
    target[path.at(-1) ?? key] = asFlag(value);
  }
  return entry;
}

function asFlag(value: unknown): unknown {
  const text = String(value).toLowerCase();
  if (['true', 'yes', 'y', 'x'].includes(text)) return true;
  return ['false', 'no', 'n'].includes(text) ? false : value;
}

/** Spreadsheets number their stations "G1/2": what an id cannot hold becomes a dash, and is told. */
function usableId(text: string, tell: (line: string) => void): string {
  if (/^[A-Za-z0-9][A-Za-z0-9_.-]{0,39}$/.test(text)) return text;
  const id = text
    .replace(/[^A-Za-z0-9_.]+/g, '-')
    .replace(/^[-_.]+|-+$/g, '')
    .slice(0, 40);
  tell('Station names with spaces or other signs become ids with dashes.');
  return id;
}

/** Finds the bed that a cell names, by its id, its name, or the number at the end of its id. */
function bedsByName(
  beds: readonly { id: string; name?: string | undefined }[],
): (text: string) => string {
  const named = new Map<string, string>();
  /** Null: two beds have this number. */
  const numbered = new Map<string, string | null>();
  const add = (key: string, id: string) => {
    if (!named.has(key)) named.set(key, id);
  };
  for (const { id, name } of beds) {
    const short = shortId(id);
    add(short, id);
    if (name !== undefined) add(shortId(name), id);
    const number = short.slice(short.lastIndexOf('-') + 1);
    if (short.includes('-')) numbered.set(number, numbered.has(number) ? null : id);
  }
  const ids = new Set(beds.map(({ id }) => id));
  return (text) => {
    const wanted = shortId(text);
    if (ids.has(text)) return text;
    // "1" is Green 1, where no tee has that number too.
    const byNumber = /^\d+[a-z]?$/.test(wanted) ? numbered.get(wanted) : undefined;
    return named.get(wanted) ?? byNumber ?? wanted;
  };
}

/** "45 x 45 ft" holds both distances; one alone stands for a square, and is told. */
function withSpacing(cells: StationCells, tell: (line: string) => void): void {
  const { head_spacing: head, row_spacing: row, nozzle_flow: nozzle, triangular } = cells;
  if (typeof head !== 'string') return;
  const both = /^([\d.]+)\s*([^\d\s]*)\s*[x×]\s*([\d.]+)\s*(\D*)$/i.exec(head);
  if (both) {
    const unit = (both[4] || both[2] || '').trim();
    cells.head_spacing = `${both[1]} ${both[2] || unit}`.trim();
    cells.row_spacing = `${both[3]} ${unit}`.trim();
    return;
  }
  if (nozzle === undefined || row !== undefined || asFlag(triangular) === true) return;
  cells.row_spacing = head;
  tell('Rows are taken to be as far apart as heads (square spacing); add row spacing where not.');
}

function withFlow(
  cells: StationCells,
  heads: string | undefined,
  refuse: (message: string) => void,
  tell: (line: string) => void,
): void {
  if (heads === undefined) return;
  const count = Number(heads);
  if (!Number.isInteger(count) || count < 1 || count > 200) {
    refuse(`is no count of heads (got ${heads}); write a whole number`);
    return;
  }
  const { flow, nozzle_flow: nozzle } = cells;
  const parts = /^([\d.]+)\s*(.*)$/.exec(typeof nozzle === 'string' ? nozzle : '');
  if (flow !== undefined || parts === null) return;
  cells.flow = `${Number((Number(parts[1]) * count).toPrecision(6))} ${parts[2]}`;
  tell('Flow of a station is worked out as heads times the flow of one nozzle.');
}

/** Beds of a config as a table that can be changed and pasted again. */
export function bedsText(entries: readonly unknown[]): string {
  return tableText(entries, BED_COLUMNS);
}

/** The same of stations; a rate from catch cans has no place in a line and is left as it is. */
export function stationsText(entries: readonly unknown[]): string {
  return tableText(entries, STATION_COLUMNS);
}

/** Only columns that some entry uses. */
function tableText(entries: readonly unknown[], columns: ColumnKeys): string {
  const cellOf = (entry: unknown, path: readonly (string | number)[]): string => {
    const value = path.reduce<unknown>(
      (inner, key) => (isMap(inner) ? inner[String(key)] : undefined),
      entry,
    );
    return value === undefined || value === null || typeof value === 'object' ? '' : String(value);
  };
  const used = Object.entries(columns).filter(([, path]) =>
    entries.some((entry) => cellOf(entry, path) !== ''),
  );
  if (used.length === 0) return '';
  const rows = entries.map((entry) => used.map(([, path]) => cellOf(entry, path)).join('; '));
  return [used.map(([name]) => name).join('; '), ...rows].join('\n');
}
