import type { ColumnMeasures, Measure } from '../../../../adapters/display-units.ts';
import type { SiteClock } from '../../../../adapters/site-clock.ts';
import type { Site } from '../../../../calc/schedule/site.ts';
import { grouped } from '../../../grouped.ts';
import type { SiteRecord } from '../site-record.ts';
import type { RunRecord } from '../water-records.ts';

/** A number of a table; `estimate` says why it is none that was measured. */
export interface NumberCell {
  value: number | null;
  decimals: number;
  estimate: string | null;
}

export type Cell = string | NumberCell;

/** A table of the records, for paper and for a file alike. */
export interface RecordTable {
  /** Name of its file, without folder: `water-by-day.csv`. */
  file: string;
  title: string;
  /** What a row is, and what a reader should know. */
  about: string;
  /** Each with its unit, or its time zone. */
  columns: string[];
  rows: Cell[][];
  /** Too long for paper: told there, and found in its file. */
  fileOnly?: true;
}

/** A number of the project's unit as a cell of its column's. */
export function measured(
  value: number | null,
  measure: Measure,
  estimate: string | null = null,
): NumberCell {
  return {
    value: value === null ? null : measure.of(value),
    decimals: measure.decimals,
    estimate: value === null ? null : estimate,
  };
}

/** A count, or a number whose unit is the same everywhere. */
export function plain(
  value: number | null,
  decimals = 0,
  estimate: string | null = null,
): NumberCell {
  return { value, decimals, estimate: value === null ? null : estimate };
}

/** Minutes of seconds, to a tenth. */
export function minutes(runS: number, estimate: string | null = null): NumberCell {
  return plain(runS / 60, 1, estimate);
}

/** Reasons that are there, in one line; null: none. */
export function because(...reasons: (string | null)[]): string | null {
  const given = reasons.filter((reason) => reason !== null && reason !== '');
  return given.length === 0 ? null : given.join('; ');
}

/** A number as it stands in a table; empty where there is none, never "-0". */
export function roundedText({ value, decimals }: NumberCell): string {
  return value === null ? '' : (Number(value.toFixed(decimals)) + 0).toFixed(decimals);
}

/** What every table is made from. */
export interface TableContext {
  record: SiteRecord;
  clock: SiteClock;
  measures: ColumnMeasures;
  /** "(America/New_York)", for headings of times and days. */
  zone: string;
  nameOf(bedId: string): string;
  /** Stations of a bed: those of the config, or, for a bed that is gone, those that ran. */
  stationsIn(bedId: string): number;
}

export function tableContext(
  record: SiteRecord,
  given: { clock: SiteClock; measures: ColumnMeasures },
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
    zone: `(${given.clock.zone})`,
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

/** Which stations' depths rest on a rate that nobody measured, in words; null: all are measured. */
export function rateEstimate(site: Site, runs: readonly RunRecord[]): string | null {
  const used = new Set(runs.map((run) => run.stationId));
  const assumed = site.stations.filter((one) => used.has(one.id) && !one.rateMeasured);
  if (assumed.length === 0) return null;
  return used.size === assumed.length
    ? 'rate not measured on the site'
    : `rate of ${assumed.length} of ${used.size} stations not measured on the site`;
}

/** Heading of the column in which a row tells which of its numbers are estimates, and why. */
const ESTIMATES_HEADING = 'estimates in this row (column: why)';

/** A table as CSV after RFC 4180: CRLF, quoted where needed; a missing number is an empty field. */
export function tableCsv({ columns, rows }: RecordTable): string {
  const hasNumbers = rows.some((row) => row.some((cell) => typeof cell !== 'string'));
  const heading = hasNumbers ? [...columns, ESTIMATES_HEADING] : columns;
  const lines = rows.map((row) => {
    const fields = row.map(fieldOf);
    return hasNumbers ? [...fields, estimatesOf(row, columns)] : fields;
  });
  return [heading, ...lines].map((line) => `${line.map(quoted).join(',')}\r\n`).join('');
}

function fieldOf(cell: Cell): string {
  return typeof cell === 'string' ? guarded(cell) : roundedText(cell);
}

/** A spreadsheet takes a text that begins so for a formula. */
function guarded(text: string): string {
  return /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
}

function estimatesOf(row: readonly Cell[], columns: readonly string[]): string {
  const byReason = new Map<string, string[]>();
  row.forEach((cell, index) => {
    if (typeof cell === 'string' || cell.estimate === null) return;
    const name = (columns[index] ?? '').replace(/ \(.*\)$/, '');
    byReason.set(cell.estimate, [...(byReason.get(cell.estimate) ?? []), name]);
  });
  return [...byReason].map(([why, names]) => `${names.join(', ')}: ${why}`).join(' | ');
}

function quoted(field: string): string {
  return /[",\r\n]/.test(field) ? `"${field.replaceAll('"', '""')}"` : field;
}
