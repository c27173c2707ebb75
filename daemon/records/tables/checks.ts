import type { Correction } from '../../store/corrections.ts';
import { measured, minutes, type NumberCell, plain, type RecordTable } from './record-table.ts';
import { siteTime, type TableContext } from './table-context.ts';

/** The meter's volume between two readings, held against the computed one. */
export function meterTable({ record, clock, zone, measures }: TableContext): RecordTable {
  const { volume } = measures;
  return {
    file: 'meter.csv',
    title: 'Meter against computed volume',
    about:
      'Computed is flow times time of what ran or is assumed to have run, and water by hand. The difference is the meter against it, in percent of the computed volume.',
    columns: [
      `from ${zone}`,
      `to ${zone}`,
      `reading before (${volume.unit})`,
      `reading after (${volume.unit})`,
      `meter (${volume.unit})`,
      `sprinklers, computed (${volume.unit})`,
      `of it assumed (${volume.unit})`,
      `by hand, computed (${volume.unit})`,
      'difference (%)',
      'what it may mean',
    ],
    rows: record.meter.map((span) => {
      const why = span.assumedL > 0 ? 'flow times time, partly assumed' : 'flow times time';
      const right = span.isCorrected ? ' A reading was corrected.' : '';
      return [
        siteTime(clock, span.fromMs),
        siteTime(clock, span.toMs),
        measured(span.fromL, volume),
        measured(span.toL, volume),
        measured(span.meterL, volume),
        measured(span.sprinklersL, volume, why),
        measured(span.assumedL, volume, span.assumedL > 0 ? 'assumed' : null),
        measured(span.handL, volume, span.handL > 0 ? 'by depth and area, or flow and time' : null),
        plain(span.differencePct, 1, 'against a computed volume'),
        `${span.words}${right}`,
      ];
    }),
  };
}

/** Rows that put others right, with both values. */
export function correctionsTable(context: TableContext): RecordTable {
  const { record, clock, zone, measures } = context;
  return {
    file: 'corrections.csv',
    title: 'Corrections',
    about: 'No record is ever changed: a correction is a row of its own, and both values are kept.',
    columns: [
      `put down ${zone}`,
      'who',
      'what',
      'station or bed',
      `start ${zone}`,
      `recorded (min, ${measures.depth.unit} or ${measures.volume.unit})`,
      `right (min, ${measures.depth.unit} or ${measures.volume.unit})`,
      'unit of this row',
      'why',
    ],
    rows: record.corrections.map((one) => {
      const { unit, cell } = unitOf(one, context);
      return [
        siteTime(clock, one.atMs),
        one.who,
        one.what,
        one.subject,
        siteTime(clock, one.startMs),
        one.recorded === null ? plain(null) : cell(one.recorded),
        cell(one.correct),
        unit,
        one.why,
      ];
    }),
  };
}

function unitOf(
  { what, subject }: Correction,
  { measures, record }: TableContext,
): { unit: string; cell(value: number): NumberCell } {
  const { depth, volume } = measures;
  if (what === 'meter') return { unit: volume.unit, cell: (value) => measured(value, volume) };
  const isBed = what === 'water' && record.site.beds.some((bed) => bed.id === subject);
  return isBed
    ? { unit: depth.unit, cell: (value) => measured(value, depth) }
    : { unit: 'min', cell: (value) => minutes(value) };
}
