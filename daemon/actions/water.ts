import { z } from 'zod';
import type { Bed, Site } from '../../calc/schedule/site.ts';
import { addHandWater, handWaterSince, type StoredHandWater } from '../site/store/hand-records.ts';
import { knownBed, refuse } from './action-context.ts';
import { bed, numberOrNone, textOrNone, timeOrNone } from './fields.ts';
import { describeAction } from './spec.ts';

/** Time that a hose over a bed is taken to last, at most and at least. */
const BY_HOSE_S = 600;
const LEAST_BY_HOSE_S = 60;
const DAY_MS = 24 * 3_600_000;

type Given = Pick<StoredHandWater, 'stationId' | 'runS' | 'grossMm'>;

/** Logs water that a person gave beside the plan, so that the next plan counts it. */
export const logWater = describeAction({
  kind: 'water',
  command: 'water',
  letter: 'w',
  isListed: true,
  isPlanned: true,
  schema: z.strictObject({
    kind: z.literal('water'),
    bedId: bed(),
    // More than any one watering by hand gives is a slip of the pen.
    netMm: numberOrNone({
      option: 'depth',
      unit: 'depth',
      atLeast: 0.05,
      atMost: 30,
      step: 0.25,
      example: '2 mm',
      also: { option: 'mm', unit: 'mm' },
    }),
    stationId: textOrNone({ option: 'station', atMost: 64, isForCommand: true }),
    runS: numberOrNone({
      option: 'minutes',
      unit: 'minutes',
      atLeast: 5,
      atMost: 7200,
      step: 30,
      isForCommand: true,
    }),
    startMs: timeOrNone({ option: 'at', isPast: true, example: '13:10' }),
  }),
  begin: () => ({ values: { netMm: 1 } }),
  apply({ db, config, nowMs }, input, who) {
    const { clock, site } = config;
    const bed = knownBed(site, input.bedId);
    const given = amountOf(input, bed, site);
    const stretch = stretchOf(given, { nowMs, startMs: input.startMs, isoOf: clock.isoOf });
    const row: StoredHandWater = { atMs: nowMs, who, bedId: bed.id, ...given, ...stretch };
    const facts = { bed: bed.name, grossMm: row.grossMm, startMs: row.startMs };
    return {
      who,
      step: 'hand_watered',
      told: [
        row.stationId === null
          ? { code: 'hand_watered', ...facts }
          : { code: 'hand_watered_by_station', ...facts, station: row.stationId },
      ],
      atMs: row.startMs,
      hypothetical: { handWater: [row] },
      lift: 'none',
      write: () => addHandWater(db, row),
      after() {
        const today = handWaterSince(db, clock.startOf(clock.siteDayOf(nowMs))).filter(
          (one) => one.bedId === bed.id,
        );
        return [{ code: 'hand_watered_today', sumMm: meanMm(today, site) }];
      },
    };
  },
});

/** Mean over the bed, mm: a station waters its share alone. */
function meanMm(given: readonly StoredHandWater[], site: Site): number {
  return given.reduce((sum, { bedId, stationId, grossMm }) => {
    const stations = site.stations.filter((station) => station.bedId === bedId).length;
    return sum + (stationId === null ? grossMm : grossMm / Math.max(1, stations));
  }, 0);
}

/** What was given: a depth by hand over the bed, or the time that a station ran. */
function amountOf(
  asked: { netMm: number | null; stationId: string | null; runS: number | null },
  bed: Bed,
  site: Site,
): Given {
  const { netMm, stationId, runS } = asked;
  if ((netMm === null) === (runS === null)) {
    throw refuse('depth', netMm === null ? 'amount_missing' : 'amount_twice');
  }
  if (netMm !== null) {
    if (stationId !== null) throw refuse('station', 'station_without_minutes');
    return { stationId: null, runS: BY_HOSE_S, grossMm: netMm };
  }
  const own = site.stations.filter((station) => station.bedId === bed.id);
  const station = own.find((one) => one.id === stationId);
  if (station === undefined) {
    const stations = own.map((one) => one.id).join(', ');
    throw stationId === null
      ? refuse('station', 'station_missing', { bed: bed.id, stations })
      : refuse('station', 'station_of_other_bed', { bed: bed.id, stations, got: stationId });
  }
  const grossMm = (station.precipitationRateMmPerH * (runS ?? 0)) / 3600;
  return { stationId: station.id, runS: runS ?? 0, grossMm };
}

/** When it was given. What is logged without a time has just ended; nothing logged goes on. */
function stretchOf(
  { runS, stationId }: Pick<Given, 'stationId' | 'runS'>,
  at: { nowMs: number; startMs: number | null; isoOf(instantMs: number): string },
): { startMs: number; runS: number } {
  const { nowMs, startMs, isoOf } = at;
  if (startMs === null) return { startMs: nowMs - runS * 1000, runS };
  if (startMs > nowMs || startMs < nowMs - DAY_MS) {
    throw refuse('at', 'not_within_a_day', { got: isoOf(startMs) });
  }
  const passedS = (nowMs - startMs) / 1000;
  if (runS <= passedS) return { startMs, runS };
  if (stationId !== null) throw refuse('at', 'still_runs', { got: isoOf(startMs) });
  const lastedS = Math.max(LEAST_BY_HOSE_S, passedS);
  return { startMs: nowMs - lastedS * 1000, runS: lastedS };
}
