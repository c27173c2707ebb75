import { display, type UnitDisplay } from '../../adapters/display-units.ts';
import { whatRan } from '../delivery/what-ran.ts';
import { addAuditEntry } from '../site/store/audit-log.ts';
import { inTransaction } from '../site/store/database.ts';
import {
  addCorrection,
  type CorrectedKind,
  type Correction,
  corrections,
  handWaterSince,
  meterReadings,
} from '../site/store/hand-records.ts';
import { type ActionContext, ActionRefused } from './action-context.ts';

/** A person writes a time to the minute; what is meant began within this of it. */
const SAME_MINUTE_MS = 60_000;
const MOST_S = 24 * 3600;

/**
 * Adds the row that puts another right; what it speaks of stays as it was. Gives what was done.
 *
 * @throws ActionRefused when nothing began at that time. A run may be added that no record has: a
 *   person saw it.
 */
export function correctRecord(
  context: ActionContext,
  asked: {
    what: CorrectedKind;
    /** Station or bed; empty for the meter. */
    subject: string;
    startMs: number;
    /** Seconds, mm or litres. */
    correct: number;
    who: string;
    why: string;
  },
): string[] {
  const { db, config, nowMs } = context;
  const { clock, units } = config;
  if (asked.startMs > nowMs) {
    throw new ActionRefused(
      'start',
      `lies ahead (got ${clock.isoOf(asked.startMs)}); only what has been can be put right`,
    );
  }
  const found = FIND[asked.what](context, asked);
  const earlier = corrections(db).findLast(
    (one) =>
      one.what === asked.what && one.subject === asked.subject && one.startMs === found.startMs,
  );
  const row: Omit<Correction, 'correctionId'> = {
    ...asked,
    ...found,
    recorded: earlier?.correct ?? found.recorded,
    atMs: nowMs,
  };
  const say = sayValue(display(units), found.unit);
  const from = row.recorded === null ? 'nothing was recorded' : `recorded ${say(row.recorded)}`;
  const about = asked.subject === '' ? 'meter' : asked.subject;
  const what = `${asked.what}, ${about}, ${clock.isoOf(row.startMs)}: ${from}, right ${say(row.correct)}; ${row.why}`;
  inTransaction(db, () => {
    addCorrection(db, row);
    const siteDay = clock.siteDayOf(row.startMs);
    addAuditEntry(db, { atMs: nowMs, kind: 'corrected', who: row.who, siteDay, what });
  });
  return [
    `Put right: ${what}.`,
    'Reports show both. Plans do not look at it: log water that a plan should count with `dewbeat water`.',
  ];
}

interface Found {
  startMs: number;
  recorded: number | null;
  unit: 's' | 'mm' | 'L';
}

interface Sought {
  subject: string;
  startMs: number;
  correct: number;
}

const FIND: Readonly<Record<CorrectedKind, (context: ActionContext, sought: Sought) => Found>> = {
  ran({ db, config, nowMs }, { subject, startMs, correct }) {
    const { site, field: rule } = config;
    if (!site.stations.some((station) => station.id === subject)) {
      throw new ActionRefused('station', `no such station (got ${subject}); see \`dewbeat ran\``);
    }
    within('seconds', correct, MOST_S, 's');
    const { runs, strays } = whatRan(db, { fromMs: startMs - rule.lateMs, nowMs, rule });
    const known = [
      ...runs.map(({ run, actual, state }) => ({
        ...run,
        countedS: actual?.runS ?? (state === 'assumed' || state === 'unknown' ? run.runS : 0),
      })),
      ...strays.map((stray) => ({ ...stray, countedS: stray.runS })),
    ].filter((one) => one.stationId === subject);
    const near = nearest(known, startMs, (one) => one.startMs, rule.lateMs);
    return { startMs: near?.startMs ?? startMs, recorded: near?.countedS ?? null, unit: 's' };
  },
  water({ db, config }, { subject, startMs, correct }) {
    const logged = handWaterSince(db, startMs - SAME_MINUTE_MS).filter(
      (one) => (one.stationId ?? one.bedId) === subject,
    );
    const near = nearest(logged, startMs, (one) => one.startMs, SAME_MINUTE_MS);
    if (near === null) {
      throw new ActionRefused(
        'start',
        `no water by hand on ${subject} then (got ${config.clock.isoOf(startMs)}); see the report's table of it, or log it with \`dewbeat water\``,
      );
    }
    const isHose = near.stationId === null;
    if (isHose) within('mm', correct, 100, 'mm');
    else within('seconds', correct, MOST_S, 's');
    const recorded = isHose ? near.grossMm : near.runS;
    return { startMs: near.startMs, recorded, unit: isHose ? 'mm' : 's' };
  },
  meter({ db, config }, { startMs, correct }) {
    within('read', correct, 1e12, 'L');
    const near = nearest(meterReadings(db), startMs, (one) => one.readMs, SAME_MINUTE_MS);
    if (near === null) {
      throw new ActionRefused(
        'start',
        `no reading of the meter then (got ${config.clock.isoOf(startMs)}); \`dewbeat meter\` lists them`,
      );
    }
    return { startMs: near.readMs, recorded: near.volumeL, unit: 'L' };
  },
};

function nearest<T>(
  of: readonly T[],
  atMs: number,
  startOf: (one: T) => number,
  withinMs: number,
): T | null {
  const apart = (one: T) => Math.abs(startOf(one) - atMs);
  const near = of.filter((one) => apart(one) <= withinMs);
  return near.toSorted((a, b) => apart(a) - apart(b))[0] ?? null;
}

function within(part: string, value: number, most: number, unit: string): void {
  if (value >= 0 && value <= most) return;
  throw new ActionRefused(part, `must be 0 to ${most} ${unit} (got ${value} ${unit})`);
}

function sayValue(show: UnitDisplay, unit: Found['unit']): (value: number) => string {
  if (unit === 's') return show.duration;
  return unit === 'mm' ? show.depth : show.volume;
}
