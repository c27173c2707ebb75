import { measured, minutes, plain, type RecordTable } from './record-table.ts';
import { siteTime, type TableContext } from './table-context.ts';

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
