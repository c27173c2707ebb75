import type { Measure } from '../../../adapters/column-measures.ts';

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
