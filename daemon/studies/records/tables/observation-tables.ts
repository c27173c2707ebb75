import type { Correction } from '../../../site/store/hand-records.ts';
import { weatherEstimate } from '../record-days.ts';
import {
  measured,
  minutes,
  type NumberCell,
  plain,
  type RecordTable,
  siteTime,
  type TableContext,
} from './record-table.ts';

/** Holds, keep-offs, stage moves, calls, notices and what else happened, in order of time. */
export function eventsTable({ record, clock, zone, nameOf }: TableContext): RecordTable {
  return {
    file: 'events.csv',
    title: 'Holds, keep-offs, moves, calls, overrides and notices',
    about:
      '"Confirmed despite" is a warning that stood in a plan which a person confirmed: wind, water at night, a spent allowance, a bed that falls short, stand-in weather.',
    columns: [`from ${zone}`, `until ${zone}`, 'what', 'beds', 'who or how grave', 'text'],
    rows: record.events.map(({ atMs, toMs, kind, beds, who, text }) => [
      siteTime(clock, atMs),
      toMs === null ? '' : siteTime(clock, toMs),
      kind.replaceAll('_', ' '),
      beds === 'all' ? 'all' : beds.map(nameOf).join(', '),
      who,
      text,
    ]),
  };
}

/** Water that persons gave beside the plan. */
export function handTable(context: TableContext): RecordTable {
  const { record, clock, zone, measures } = context;
  const { depth, volume } = measures;
  return {
    file: 'water-by-hand.csv',
    title: 'Water by hand',
    about: 'As persons logged it. A correction counts, and what was logged first stays beside it.',
    columns: [
      `start ${zone}`,
      `logged ${zone}`,
      'bed',
      'station (empty: hose)',
      'who',
      'time (min)',
      `logged first (${depth.unit})`,
      `counts (${depth.unit})`,
      `volume (${volume.unit})`,
    ],
    rows: record.hand.map((one) => {
      const hose = one.stationId === null ? 'depth as a person judged it' : null;
      return [
        siteTime(clock, one.startMs),
        siteTime(clock, one.atMs),
        one.bedId,
        one.stationId ?? '',
        one.who,
        minutes(one.runS, hose),
        measured(one.corrected?.beforeMm ?? one.bedMm, depth, hose),
        measured(one.bedMm, depth, hose),
        measured(one.volumeL, volume, 'by depth and area, or flow and time'),
      ];
    }),
  };
}

/** What persons saw on the turf. */
export function looksTable({ record, clock, zone, measures, nameOf }: TableContext): RecordTable {
  const { depth } = measures;
  return {
    file: 'looks.csv',
    title: 'Looks',
    about: 'What persons saw on the beds; a look that was taken back stays and says so.',
    columns: [
      `seen ${zone}`,
      'bed',
      'who',
      'surface',
      'cover (%)',
      `leaf (${depth.unit})`,
      `root (${depth.unit})`,
      'probe, water by volume (%)',
      `probe depth (${depth.unit})`,
      'photo',
      'note',
      'taken back',
    ],
    rows: record.looks.map((look) => [
      siteTime(clock, look.seenMs),
      nameOf(look.bedId),
      look.who,
      look.surface ?? '',
      plain(look.coverFraction === null ? null : 100 * look.coverFraction, 0, 'judged by eye'),
      measured(look.leafMm, depth),
      measured(look.rootMm, depth),
      plain(look.probeFraction === null ? null : 100 * look.probeFraction, 1),
      measured(look.probeDepthMm, depth),
      look.photo ?? '',
      look.note ?? '',
      look.isUndone ? 'yes' : '',
    ]),
  };
}

/** When seedbeds were dry, and how the stand looked later. */
export function dryingTable({ record, clock, zone, measures, nameOf }: TableContext): RecordTable {
  const { depth } = measures;
  return {
    file: 'drying-events.csv',
    title: 'Drying events, with the cover seen later',
    about:
      '"Seen" is a look; "expected" is the model alone: daylight in which the plan in force had the bed below its dry limit for a quarter of an hour or more. Cover is what persons saw within the four weeks after.',
    columns: [
      `from ${zone}`,
      `until ${zone}`,
      'bed',
      'known from',
      'who',
      'time (min)',
      `lowest, against the dry limit (${depth.unit})`,
      'note',
      `cover later (%, day in ${zone.slice(1)}`,
    ],
    rows: record.drying.map((event) => {
      const model = event.from === 'expected' ? 'model' : null;
      return [
        siteTime(clock, event.fromMs),
        siteTime(clock, event.toMs),
        nameOf(event.bedId),
        event.from,
        event.who,
        plain(event.from === 'seen' ? null : (event.toMs - event.fromMs) / 60_000, 0, model),
        measured(event.lowestMm, depth, model),
        event.note,
        event.later
          .map(
            ({ seenMs, coverFraction }) =>
              `${Math.round(100 * coverFraction)} % on ${clock.siteDayOf(seenMs)}`,
          )
          .join('; '),
      ];
    }),
  };
}

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

/** One row a day: the weather, and how much of it was measured. */
export function weatherByDay({ record, measures, zone }: TableContext): RecordTable {
  const { temp, speed, depth } = measures;
  return {
    file: 'weather-by-day.csv',
    title: 'Weather by day',
    about:
      'From measured hours where a source still has them, otherwise as the plan of that morning had it. Wind is the strongest hour, at 2 m above the turf. Reference ET is ASCE-EWRI 2005, short reference.',
    columns: [
      `site day ${zone}`,
      `high (${temp.unit})`,
      `low (${temp.unit})`,
      `wind, strongest hour (${speed.unit})`,
      `rain (${depth.unit})`,
      `reference ET (${depth.unit})`,
      'measured (h)',
      'foretold (h)',
      'stand-in (h)',
      'with a filled value (h)',
      'told by',
    ],
    rows: record.days.map(({ siteDay, weather }) => {
      if (weather === null) {
        const none = plain(null);
        return [siteDay, ...Array.from({ length: 9 }, () => none), 'nothing is known'];
      }
      const why = weatherEstimate(weather);
      const { observed, forecast, carried, usual } = weather.hoursByOrigin;
      return [
        siteDay,
        measured(weather.highC, temp, why),
        measured(weather.lowC, temp, why),
        measured(weather.windMaxMPerS, speed, why),
        measured(weather.rainMm, depth, why),
        measured(weather.referenceEtMm, depth, why),
        plain(observed),
        plain(forecast),
        plain(carried + usual),
        plain(weather.filledHours),
        weather.from === 'hours' ? 'the source' : "the morning's plan",
      ];
    }),
  };
}
