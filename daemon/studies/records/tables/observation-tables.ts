import type { Correction } from '../../../site/store/hand-records.ts';
import type { Say } from '../../../words/language.ts';
import type { DryingEvent } from '../drying-events.ts';
import { weatherEstimate } from '../record-days.ts';
import type { MeterSpan } from '../water-sums.ts';
import {
  column,
  measured,
  minutes,
  type NumberCell,
  plain,
  type RecordTable,
  siteTime,
  type TableContext,
} from './record-table.ts';

/** Stops, keep-offs, stage moves, calls, notices and what else happened, in order of time. */
export function eventsTable({ record, clock, nameOf, say }: TableContext): RecordTable {
  return {
    file: 'events.csv',
    title: say('reports.events'),
    about: say('reports.events.about'),
    columns: [
      column(say, 'from', 'from', clock.zone),
      column(say, 'until', 'until', clock.zone),
      column(say, 'what', 'what'),
      column(say, 'beds', 'beds'),
      column(say, 'who or how grave', 'who_or_severity'),
      column(say, 'text', 'text'),
    ],
    rows: record.events.map(({ atMs, toMs, kind, beds, who, severity, text }) => [
      siteTime(clock, atMs),
      toMs === null ? '' : siteTime(clock, toMs),
      { code: kind.replaceAll('_', ' '), words: say(`reports.event.${kind}`) },
      beds === 'all'
        ? { code: 'all', words: say('reports.all_beds') }
        : beds.map(nameOf).join(', '),
      severity === null ? who : { code: severity, words: say(`severity.${severity}`) },
      text,
    ]),
  };
}

/** Water that persons gave beside the plan. */
export function handTable({ record, clock, measures, say }: TableContext): RecordTable {
  const { depth, volume } = measures;
  return {
    file: 'water-by-hand.csv',
    title: say('reports.water_by_hand'),
    about: say('reports.water_by_hand.about'),
    columns: [
      column(say, 'start', 'start', clock.zone),
      column(say, 'logged', 'logged', clock.zone),
      column(say, 'bed', 'bed'),
      column(say, 'station (empty: hose)', 'station_or_hose'),
      column(say, 'who', 'who'),
      column(say, 'time', 'time', 'min'),
      column(say, 'logged first', 'logged_first', depth.unit),
      column(say, 'counts', 'counts', depth.unit),
      column(say, 'volume', 'volume', volume.unit),
    ],
    rows: record.hand.map((one) => {
      const hose = one.stationId === null ? ([{ code: 'hose' }] as const) : [];
      return [
        siteTime(clock, one.startMs),
        siteTime(clock, one.atMs),
        one.bedId,
        one.stationId ?? '',
        one.who,
        minutes(one.runS, hose),
        measured(one.corrected?.beforeMm ?? one.bedMm, depth, hose),
        measured(one.bedMm, depth, hose),
        measured(one.volumeL, volume, [{ code: 'hand_volume' }]),
      ];
    }),
  };
}

/** What persons saw on the turf. */
export function looksTable({ record, clock, measures, nameOf, say }: TableContext): RecordTable {
  const { depth } = measures;
  return {
    file: 'looks.csv',
    title: say('reports.looks'),
    about: say('reports.looks.about'),
    columns: [
      column(say, 'seen', 'seen', clock.zone),
      column(say, 'bed', 'bed'),
      column(say, 'who', 'who'),
      column(say, 'surface', 'surface'),
      column(say, 'cover', 'cover', '%'),
      column(say, 'leaf', 'leaf', depth.unit),
      column(say, 'root', 'root', depth.unit),
      column(say, 'probe, water by volume', 'probe', '%'),
      column(say, 'probe depth', 'probe_depth', depth.unit),
      column(say, 'photo', 'photo'),
      column(say, 'note', 'note'),
      column(say, 'taken back', 'taken_back'),
    ],
    rows: record.looks.map((look) => [
      siteTime(clock, look.seenMs),
      nameOf(look.bedId),
      look.who,
      look.surface === null
        ? ''
        : { code: look.surface, words: say(`reports.surface.${look.surface}`) },
      plain(look.coverFraction === null ? null : 100 * look.coverFraction, 0, [{ code: 'by_eye' }]),
      measured(look.leafMm, depth),
      measured(look.rootMm, depth),
      plain(look.probeFraction === null ? null : 100 * look.probeFraction, 1),
      measured(look.probeDepthMm, depth),
      look.photo ?? '',
      look.note ?? '',
      look.isUndone ? { code: 'yes', words: say('reports.yes') } : '',
    ]),
  };
}

/** When seedbeds were dry, and how the stand looked later. */
export function dryingTable({ record, clock, measures, nameOf, say }: TableContext): RecordTable {
  const { depth } = measures;
  const coverLater = column(say, 'cover later', 'cover_later', '%');
  return {
    file: 'drying-events.csv',
    title: say('reports.drying_events'),
    about: say('reports.drying_events.about'),
    columns: [
      column(say, 'from', 'from', clock.zone),
      column(say, 'until', 'until', clock.zone),
      column(say, 'bed', 'bed'),
      column(say, 'known from', 'known_from'),
      column(say, 'who', 'who'),
      column(say, 'time', 'time', 'min'),
      column(say, 'lowest, against the dry limit', 'lowest', depth.unit),
      column(say, 'note', 'note'),
      { ...coverLater, unit: `%, day in ${clock.zone}` },
    ],
    rows: record.drying.map((event) => {
      const isExpected = event.from === 'expected';
      const model = isExpected ? ([{ code: 'model' }] as const) : [];
      return [
        siteTime(clock, event.fromMs),
        siteTime(clock, event.toMs),
        nameOf(event.bedId),
        { code: event.from, words: say(`reports.drying_from.${event.from}`) },
        event.who,
        plain(isExpected ? (event.toMs - event.fromMs) / 60_000 : null, 0, model),
        measured(event.lowestMm, depth, model),
        noteOf(event, say),
        event.later
          .map(({ seenMs, coverFraction }) =>
            say('reports.drying.cover', {
              pct: Math.round(100 * coverFraction),
              day: clock.siteDayOf(seenMs),
            }),
          )
          .join('; '),
      ];
    }),
  };
}

/** What a person wrote, and what the model said. */
function noteOf({ note, expectedLeftFraction, isUnwatered }: DryingEvent, say: Say): string {
  return [
    note,
    expectedLeftFraction === null
      ? ''
      : say('reports.drying.expected_left', { pct: Math.round(100 * expectedLeftFraction) }),
    isUnwatered ? say('reports.drying.no_plan_confirmed') : '',
  ]
    .filter((part) => part !== '')
    .join('; ');
}

/** The meter's volume between two readings, held against the computed one. */
export function meterTable({ record, clock, measures, say }: TableContext): RecordTable {
  const { unit } = measures.volume;
  return {
    file: 'meter.csv',
    title: say('reports.meter'),
    about: say('reports.meter.about'),
    columns: [
      column(say, 'from', 'from', clock.zone),
      column(say, 'to', 'to', clock.zone),
      column(say, 'reading before', 'reading_before', unit),
      column(say, 'reading after', 'reading_after', unit),
      column(say, 'meter', 'meter', unit),
      column(say, 'sprinklers, computed', 'sprinklers_computed', unit),
      column(say, 'of it assumed', 'sprinklers_assumed', unit),
      column(say, 'by hand, computed', 'hand_computed', unit),
      column(say, 'difference', 'difference', '%'),
      column(say, 'what it may mean', 'meaning'),
    ],
    rows: record.meter.map((span) => {
      const { volume } = measures;
      const isAssumed = span.assumedL > 0;
      return [
        siteTime(clock, span.fromMs),
        siteTime(clock, span.toMs),
        measured(span.fromL, volume),
        measured(span.toL, volume),
        measured(span.meterL, volume),
        measured(span.sprinklersL, volume, [
          { code: isAssumed ? 'flow_times_time_assumed' : 'flow_times_time' },
        ]),
        measured(span.assumedL, volume, isAssumed ? [{ code: 'assumed' }] : []),
        measured(span.handL, volume, span.handL > 0 ? [{ code: 'hand_volume' }] : []),
        plain(span.differencePct, 1, [{ code: 'computed_volume' }]),
        sayMeaning(span, say),
      ];
    }),
  };
}

function sayMeaning({ meaning, isCorrected }: MeterSpan, say: Say): string {
  const words = say(`reports.meaning.${meaning.code}`, meaning);
  return isCorrected ? say('reports.meaning.corrected', { meaning: words }) : words;
}

/** Rows that put others right, with both values. */
export function correctionsTable(context: TableContext): RecordTable {
  const { record, clock, measures, say } = context;
  const { depth, volume } = measures;
  const either = (name: string, code: 'recorded' | 'right') => ({
    ...column(say, name, code, `min / ${depth.unit} / ${volume.unit}`),
    unit: `min, ${depth.unit} or ${volume.unit}`,
  });
  return {
    file: 'corrections.csv',
    title: say('reports.corrections'),
    about: say('reports.corrections.about'),
    columns: [
      column(say, 'put down', 'put_down', clock.zone),
      column(say, 'who', 'who'),
      column(say, 'what', 'what'),
      column(say, 'station or bed', 'station_or_bed'),
      column(say, 'start', 'start', clock.zone),
      either('recorded', 'recorded'),
      either('right', 'right'),
      column(say, 'unit of this row', 'unit'),
      column(say, 'why', 'why'),
    ],
    rows: record.corrections.map((one) => {
      const { unit, cell } = unitOf(one, context);
      return [
        siteTime(clock, one.atMs),
        one.who,
        { code: one.what, words: say(`reports.corrected.${one.what}`) },
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

/** What told the weather of a day, as files have it. */
const WEATHER_FROM = {
  hours: 'the source',
  plan: "the morning's plan",
  none: 'nothing is known',
} as const;

/** One row a day: the weather, and how much of it was measured. */
export function weatherByDay({ record, measures, clock, say }: TableContext): RecordTable {
  const { temp, speed, depth } = measures;
  const toldBy = (from: keyof typeof WEATHER_FROM) => ({
    code: WEATHER_FROM[from],
    words: say(`reports.weather_from.${from}`),
  });
  return {
    file: 'weather-by-day.csv',
    title: say('reports.weather_by_day'),
    about: say('reports.weather_by_day.about'),
    columns: [
      column(say, 'site day', 'day', clock.zone),
      column(say, 'high', 'high', temp.unit),
      column(say, 'low', 'low', temp.unit),
      column(say, 'wind, strongest hour', 'wind', speed.unit),
      column(say, 'rain', 'rain', depth.unit),
      column(say, 'reference ET', 'reference_et', depth.unit),
      column(say, 'measured', 'measured', 'h'),
      column(say, 'foretold', 'foretold', 'h'),
      column(say, 'stand-in', 'stand_in', 'h'),
      column(say, 'with a filled value', 'filled', 'h'),
      column(say, 'told by', 'told_by'),
    ],
    rows: record.days.map(({ siteDay, weather }) => {
      if (weather === null) {
        const none = plain(null);
        return [siteDay, ...Array.from({ length: 9 }, () => none), toldBy('none')];
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
        toldBy(weather.from),
      ];
    }),
  };
}
