import { display } from '../../adapters/display-units.ts';
import type { Bed, Site } from '../../calc/schedule/site.ts';
import { addHandWater, handWaterSince, type StoredHandWater } from '../store/hand-water.ts';
import { addStep } from '../store/steps.ts';
import type { Action } from './action.ts';
import { type ActionContext, ActionRefused } from './action-context.ts';
import { knownBed } from './known-beds.ts';

/** What was given: a depth by hand over the bed, or the time that a station ran. */
export type WaterAmount = { netMm: number } | { stationId: string | undefined; runS: number };

/** Bounds of what is logged: more than any one watering by hand gives is a slip of the pen. */
export const HAND_WATER_BOUNDS = {
  netMm: { min: 0.05, max: 30 },
  runS: { min: 5, max: 7200 },
} as const;

/** Time that a hose over a bed is taken to last, at most and at least. */
const BY_HOSE_S = 600;
const LEAST_BY_HOSE_S = 60;
const DAY_MS = 24 * 3_600_000;

/** Logs water that a person gave beside the plan, so that the next plan counts it. */
export function logWater(
  { db, config, nowMs }: ActionContext,
  asked: {
    bedId: string | undefined;
    amount: WaterAmount;
    /** When it began; null: it has just ended. */
    startMs: number | null;
    who: string;
  },
): Action {
  const { clock, site, units } = config;
  const { who } = asked;
  const show = display(units);
  const bed = knownBed(site, asked.bedId);
  const given = amountOf(asked.amount, bed, site);
  const stretch = stretchOf(given, { nowMs, startMs: asked.startMs, isoOf: clock.isoOf });
  const row: StoredHandWater = { atMs: nowMs, who, bedId: bed.id, ...given, ...stretch };
  const by = row.stationId === null ? 'by hand' : `by station ${row.stationId}`;
  const what = `${bed.name}: ${show.depth(row.grossMm)} ${by}`;
  const line = `${what} from ${clock.timeOf(row.startMs)}, logged by ${who}.`;
  return {
    line,
    who,
    hypothetical: { handWater: [row] },
    lift: 'none',
    keep() {
      addHandWater(db, row);
      addStep(db, {
        atMs: nowMs,
        kind: 'hand_watered',
        who,
        siteDay: clock.siteDayOf(row.startMs),
        what: `${what} from ${clock.isoOf(row.startMs)}`,
      });
      const today = handWaterSince(db, clock.startOf(clock.siteDayOf(nowMs))).filter(
        (one) => one.bedId === bed.id,
      );
      return [line, `By hand today in all: ${show.depth(meanMm(today, site))} over the bed.`];
    },
  };
}

/** Mean over the bed, mm: a station waters its share alone. */
function meanMm(given: readonly StoredHandWater[], site: Site): number {
  return given.reduce((sum, { bedId, stationId, grossMm }) => {
    const stations = site.stations.filter((station) => station.bedId === bedId).length;
    return sum + (stationId === null ? grossMm : grossMm / Math.max(1, stations));
  }, 0);
}

function amountOf(
  amount: WaterAmount,
  bed: Bed,
  site: Site,
): Pick<StoredHandWater, 'stationId' | 'runS' | 'grossMm'> {
  if ('netMm' in amount) {
    const { netMm } = amount;
    requireWithin('depth', netMm, { ...HAND_WATER_BOUNDS.netMm, unit: 'mm' });
    return { stationId: null, runS: BY_HOSE_S, grossMm: netMm };
  }
  const { stationId, runS } = amount;
  const own = site.stations.filter((station) => station.bedId === bed.id);
  const station = own.find((one) => one.id === stationId);
  if (station === undefined) {
    const got = stationId === undefined ? 'is missing' : `not of this bed (got ${stationId})`;
    throw new ActionRefused(
      'station',
      `${got}; the stations of ${bed.id} are ${own.map((one) => one.id).join(', ')}`,
    );
  }
  requireWithin('minutes', runS, { ...HAND_WATER_BOUNDS.runS, unit: 's' });
  const grossMm = (station.precipitationRateMmPerH * runS) / 3600;
  return { stationId: station.id, runS, grossMm };
}

function requireWithin(
  part: string,
  value: number,
  { min, max, unit }: { min: number; max: number; unit: string },
): void {
  if (value >= min && value <= max) return;
  throw new ActionRefused(part, `must be ${min} to ${max} ${unit} (got ${value} ${unit})`);
}

/** When it was given. What is logged without a time has just ended; nothing logged goes on. */
function stretchOf(
  { runS, stationId }: Pick<StoredHandWater, 'stationId' | 'runS'>,
  at: { nowMs: number; startMs: number | null; isoOf(instantMs: number): string },
): { startMs: number; runS: number } {
  const { nowMs, startMs, isoOf } = at;
  if (startMs === null) return { startMs: nowMs - runS * 1000, runS };
  if (startMs > nowMs || startMs < nowMs - DAY_MS) {
    throw new ActionRefused(
      'at',
      `must be within the last 24 hours (got ${isoOf(startMs)}); log what was given, when it was`,
    );
  }
  const passedS = (nowMs - startMs) / 1000;
  if (runS <= passedS) return { startMs, runS };
  if (stationId !== null) {
    throw new ActionRefused(
      'at',
      `it still runs at that (got ${isoOf(startMs)}); log it when it has ended`,
    );
  }
  const lastedS = Math.max(LEAST_BY_HOSE_S, passedS);
  return { startMs: nowMs - lastedS * 1000, runS: lastedS };
}
