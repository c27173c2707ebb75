import type { UnitDisplay } from '../../adapters/display-units.ts';
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
import { type Reader, readerOf, sayTo } from '../words/plan-words.ts';
import { logReader } from '../words/told.ts';
import { type ActionContext, refuse } from './action-context.ts';

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
  reader: Reader = readerOf(context.config),
): string[] {
  const { db, config, nowMs } = context;
  const { clock } = config;
  const say = sayTo(reader);
  if (asked.startMs > nowMs) {
    throw refuse('start', 'not_been_yet', { got: clock.isoOf(asked.startMs) });
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
  const words = (reader: Reader) => {
    const say = sayTo(reader);
    const value = sayValue(reader.show, found.unit);
    return say('corrected.what', {
      what: say(`corrected.${asked.what}`),
      subject: asked.subject === '' ? 'none' : asked.subject,
      at: clock.isoOf(row.startMs),
      was:
        row.recorded === null
          ? say('corrected.nothing')
          : say('corrected.recorded', { value: value(row.recorded) }),
      right: value(row.correct),
      why: row.why,
    });
  };
  inTransaction(db, () => {
    addCorrection(db, row);
    const siteDay = clock.siteDayOf(row.startMs);
    addAuditEntry(db, {
      atMs: nowMs,
      kind: 'corrected',
      who: row.who,
      siteDay,
      what: words(logReader(clock)),
    });
  });
  return [say('corrected.done', { what: words(reader) }), say('corrected.next')];
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
      throw refuse('station', 'no_such_station', { got: subject });
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
      const got = config.clock.isoOf(startMs);
      throw refuse('start', 'no_water_then', { subject, got });
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
      throw refuse('start', 'no_reading_then', { got: config.clock.isoOf(startMs) });
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
  throw refuse(part, 'bounds', { atLeast: 0, atMost: `${most} ${unit}`, got: `${value} ${unit}` });
}

function sayValue(show: UnitDisplay, unit: Found['unit']): (value: number) => string {
  if (unit === 's') return show.duration;
  return unit === 'mm' ? show.depth : show.volume;
}
