import { csvText } from '../../../../adapters/csv-text.ts';
import type { ColumnMeasures, Measure } from '../../../../adapters/display-units.ts';
import type { SiteClock } from '../../../../adapters/site-clock.ts';
import type { Site } from '../../../../calc/schedule/site.ts';
import { grouped } from '../../../grouped.ts';
import type { MessageKey } from '../../../words/en.ts';
import { type Estimate, sayEstimate } from '../../../words/estimate-words.ts';
import type { Say } from '../../../words/language.ts';
import { type Reader, sayTo } from '../../../words/plan-words.ts';
import type { SiteRecord } from '../site-record.ts';
import type { RunRecord } from '../water-records.ts';

/** A number of a table; `estimates` say why it is none that was measured, none of them that it was. */
export interface NumberCell {
  value: number | null;
  decimals: number;
  estimates: readonly Estimate[];
}

/** One of a closed list: the same word in every file, and on paper the word of the language. */
export interface CodeCell {
  code: string;
  words: string;
}

/** A text stands as it is: an id, a name, a time, what a person wrote or a sentence. */
export type Cell = string | CodeCell | NumberCell;

/** A column, with its unit or its time zone; a unit null where there is none. */
export interface Column {
  /** In the file, the same in every language. */
  name: string;
  unit: string | null;
  /** On paper, with its unit. */
  heading: string;
}

/** A table of the records, for paper and for a file alike. */
export interface RecordTable {
  /** Name of its file, without folder: `water-by-day.csv`. */
  file: string;
  title: string;
  /** What a row is, and what a reader should know. */
  about: string;
  columns: Column[];
  rows: Cell[][];
  /** Too long for paper: told there, and found in its file. */
  fileOnly?: true;
}

const NONE: readonly Estimate[] = [];

/** A number of the project's unit as a cell of its column's. */
export function measured(
  value: number | null,
  measure: Measure,
  estimates: readonly Estimate[] = NONE,
): NumberCell {
  return plain(value === null ? null : measure.of(value), measure.decimals, estimates);
}

/** A count, or a number whose unit is the same everywhere. */
export function plain(
  value: number | null,
  decimals = 0,
  estimates: readonly Estimate[] = NONE,
): NumberCell {
  return { value, decimals, estimates: value === null ? NONE : estimates };
}

/** Minutes of seconds, to a tenth. */
export function minutes(runS: number, estimates: readonly Estimate[] = NONE): NumberCell {
  return plain(runS / 60, 1, estimates);
}

export function isNumberCell(cell: Cell): cell is NumberCell {
  return typeof cell !== 'string' && 'value' in cell;
}

/** A number as it stands in a table; empty where there is none, never "-0". */
export function roundedText({ value, decimals }: NumberCell): string {
  return value === null ? '' : (Number(value.toFixed(decimals)) + 0).toFixed(decimals);
}

type ColumnCode<Key> = Key extends `reports.column.${infer Code}` ? Code : never;

/**
 * A column of a table that is printed.
 *
 * @param name in the file
 * @param code of its heading on paper
 * @param unit in the file and on paper; `count` is told in the file alone
 */
export function column(
  say: Say,
  name: string,
  code: ColumnCode<MessageKey>,
  unit: string | null = null,
): Column {
  const heading = say(`reports.column.${code}`);
  return {
    name,
    unit,
    heading: unit === null || unit === 'count' ? heading : `${heading} (${unit})`,
  };
}

/** A column of a table that is only a file. */
export function fileColumn(name: string, unit: string | null = null): Column {
  return { name, unit, heading: name };
}

/** What every table is made from. */
export interface TableContext {
  record: SiteRecord;
  clock: SiteClock;
  measures: ColumnMeasures;
  reader: Reader;
  say: Say;
  nameOf(bedId: string): string;
  /** Stations of a bed: those of the config, or, for a bed that is gone, those that ran. */
  stationsIn(bedId: string): number;
}

export function tableContext(
  record: SiteRecord,
  given: { clock: SiteClock; measures: ColumnMeasures; reader: Reader },
): TableContext {
  const { site, runs, days } = record;
  const stations = grouped(site.stations, (station) => station.bedId);
  const ran = grouped(runs, (run) => run.bedId);
  const named = new Map([
    ...days.flatMap(
      ({ firstPlan }) => firstPlan?.beds.map((bed) => [bed.bedId, bed.name] as const) ?? [],
    ),
    ...site.beds.map((bed) => [bed.id, bed.name] as const),
  ]);
  return {
    record,
    ...given,
    say: sayTo(given.reader),
    nameOf: (bedId) => named.get(bedId) ?? bedId,
    stationsIn: (bedId) =>
      stations.get(bedId)?.length ??
      Math.max(1, new Set(ran.get(bedId)?.map((run) => run.stationId)).size),
  };
}

/** Day and minute at the site, with the offset where an hour comes twice: "2026-07-01 14:05 -04:00". */
export function siteTime(clock: SiteClock, instantMs: number): string {
  const iso = clock.isoOf(instantMs);
  return `${iso.slice(0, 10)} ${iso.slice(11, 16)} ${iso.endsWith('Z') ? '+00:00' : iso.slice(19)}`;
}

/** Which stations' depths rest on a rate that nobody measured; none: all are measured. */
export function rateEstimate(site: Site, runs: readonly RunRecord[]): Estimate[] {
  const used = new Set(runs.map((run) => run.stationId));
  const assumed = site.stations.filter((one) => used.has(one.id) && !one.rateMeasured);
  if (assumed.length === 0) return [];
  return used.size === assumed.length
    ? [{ code: 'rate_not_measured' }]
    : [{ code: 'rates_not_measured', assumed: assumed.length, stations: used.size }];
}

/** Heading of the column in which a row tells which of its numbers are estimates, and why. */
const ESTIMATES_HEADING = 'estimates in this row (column: why)';

/**
 * A table as CSV: headings and codes are the same in every language, sentences are in the reader's; a
 * missing number is an empty field.
 */
export function tableCsv(
  { columns, rows }: Pick<RecordTable, 'columns' | 'rows'>,
  say: Say,
): string {
  const hasNumbers = rows.some((row) => row.some(isNumberCell));
  const heading = columns.map(({ name, unit }) => (unit === null ? name : `${name} (${unit})`));
  const lines = rows.map((row) => {
    const fields = row.map(fieldOf);
    return hasNumbers ? [...fields, estimatesOf(row, columns, say)] : fields;
  });
  return csvText([hasNumbers ? [...heading, ESTIMATES_HEADING] : heading, ...lines]);
}

function fieldOf(cell: Cell): string {
  if (typeof cell === 'string') return guarded(cell);
  return isNumberCell(cell) ? roundedText(cell) : cell.code;
}

/** A spreadsheet takes a text that begins so for a formula. */
function guarded(text: string): string {
  return /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
}

function estimatesOf(row: readonly Cell[], columns: readonly Column[], say: Say): string {
  const byReason = new Map<string, string[]>();
  row.forEach((cell, index) => {
    if (typeof cell === 'string' || !isNumberCell(cell) || cell.estimates.length === 0) return;
    const why = cell.estimates.map((one) => sayEstimate(one, say)).join('; ');
    byReason.set(why, [...(byReason.get(why) ?? []), columns[index]?.name ?? '']);
  });
  return [...byReason].map(([why, names]) => `${names.join(', ')}: ${why}`).join(' | ');
}
