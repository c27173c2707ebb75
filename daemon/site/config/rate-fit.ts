import { otherUnits } from '../../../adapters/quantity.ts';
import type { QuantityKind } from '../../../adapters/quantity-units.ts';
import { type StationConfig, stationRate } from './station-schema.ts';

/**
 * Rates of turf heads: slow rotors water with 5 mm/h, quarter circles of small spray heads with above
 * 100 (common practice, no source). What lies beyond is a slip of unit or point.
 */
const LEAST_RATE_MM_PER_H = 2;
const MOST_RATE_MM_PER_H = 150;

/**
 * How far a rate may lie under what the flow gives when all of it falls on the bed. Full circles
 * around a small green throw two thirds of their water beside it, around a tee nine tenths: so there
 * is much room before it is asked about, and more before it is refused. A rate in in/h that was typed
 * as mm/h lies 25 times too low.
 */
const ASKED_BELOW_FACTOR = 4;
const REFUSED_BELOW_FACTOR = 12;
/**
 * How far above what the flow gives on the station's share of the bed. Nothing but a share smaller
 * than those of the others raises it, so there is less room.
 */
const ASKED_ABOVE_FACTOR = 2;
const REFUSED_ABOVE_FACTOR = 5;

/** What cannot be meant, or is to be looked at. */
export interface Doubt {
  /** True: no config is taken with it. */
  isRefused: boolean;
  message: string;
}

/** A station's rate beside what else is told of its water. */
export interface RateAsked {
  rateMmPerH: number;
  flowLPerMin: number;
  /** Its bed, and among how many stations that is shared; null: not known. */
  bed: { areaM2: number; stations: number } | null;
  /** Texts as they were typed, for units that may have been meant; null: worked out, or not known. */
  written: { rate: string | null; flow: string | null; area: string | null };
}

/**
 * Holds a rate against what heads do, and against the flow over the bed's area; null: it fits.
 *
 * A station may water the whole bed or its share of it, and some of its water falls beside. So the
 * rate may lie anywhere between the flow over the whole area and the flow over the share.
 */
export function rateDoubt(asked: RateAsked): Doubt | null {
  const { rateMmPerH, written } = asked;
  const isSlow = rateMmPerH < LEAST_RATE_MM_PER_H;
  const off = offBy(asked);
  if (!isSlow && rateMmPerH <= MOST_RATE_MM_PER_H && off === null) return null;
  const isOutside = isSlow || rateMmPerH > MOST_RATE_MM_PER_H;
  const what = isOutside
    ? `is no rate of turf heads, which have ${LEAST_RATE_MM_PER_H} to ${MOST_RATE_MM_PER_H} mm/h`
    : 'does not fit flow and area';
  const rate = `${figure(rateMmPerH)} mm/h`;
  const got = written.rate === null || written.rate === rate ? rate : `${written.rate}, ${rate}`;
  const compared = off === null ? '' : `, ${off.words}`;
  const isRefused = isOutside || off?.isRefused === true;
  const fitting = meantUnits(asked, false);
  const meant = fitting.length > 0 || !isRefused ? fitting : meantUnits(asked, true);
  const advice = [
    ...(meant.length === 0 ? [] : [`write ${meant.join(' or ')} if that is meant`]),
    `correct ${written.rate === null ? 'flow of one nozzle, spacing, arc and times' : 'the rate'}${off === null ? '' : ', or flow and area'}`,
  ].join(', or ');
  return {
    isRefused,
    message: `${what} (got ${got}${compared}); ${advice}`,
  };
}

/**
 * The same of a station as the config has it.
 * @throws RangeError when a catch-can test caught nothing.
 */
export function stationDoubt(
  station: StationConfig,
  { bed, written }: Pick<RateAsked, 'bed' | 'written'>,
): Doubt | null {
  const { rateMmPerH } = stationRate(station.rate);
  return rateDoubt({ rateMmPerH, flowLPerMin: station.flow, bed, written });
}

function offBy({
  rateMmPerH,
  flowLPerMin,
  bed,
}: Omit<RateAsked, 'written'>): { isRefused: boolean; words: string } | null {
  if (bed === null) return null;
  const { areaM2, stations } = bed;
  // 1 L on 1 m² is 1 mm.
  const wholeMmPerH = (flowLPerMin * 60) / areaM2;
  const shareMmPerH = wholeMmPerH * stations;
  const below = wholeMmPerH / rateMmPerH;
  const above = rateMmPerH / shareMmPerH;
  const flow = `${figure(flowLPerMin)} L/min`;
  if (below >= ASKED_BELOW_FACTOR) {
    const words = `${figure(below)} times less than ${flow} over ${figure(areaM2)} m² give, ${figure(wholeMmPerH)} mm/h`;
    return { isRefused: below >= REFUSED_BELOW_FACTOR, words };
  }
  if (above >= ASKED_ABOVE_FACTOR) {
    const area = stations === 1 ? `${figure(areaM2)} m²` : `a share of ${figure(areaM2)} m²`;
    const words = `${figure(above)} times more than ${flow} over ${area} give, ${figure(shareMmPerH)} mm/h`;
    return { isRefused: above >= REFUSED_ABOVE_FACTOR, words };
  }
  return null;
}

/** Typed figures with another unit, with which rate, flow and area fit each other, or may be asked. */
function meantUnits(asked: RateAsked, mayBeAsked: boolean): string[] {
  const { written, bed } = asked;
  const fits = (changed: Partial<RateAsked>) => {
    const tried = { ...asked, ...changed };
    const isHeads =
      tried.rateMmPerH >= LEAST_RATE_MM_PER_H && tried.rateMmPerH <= MOST_RATE_MM_PER_H;
    const off = offBy(tried);
    return isHeads && (off === null || (mayBeAsked && !off.isRefused));
  };
  const tries: [string | null, QuantityKind, string, (value: number) => Partial<RateAsked>][] = [
    [written.rate, 'rate', '', (rateMmPerH) => ({ rateMmPerH })],
    [written.flow, 'flow', 'flow ', (flowLPerMin) => ({ flowLPerMin })],
    [written.area, 'area', 'area ', (areaM2) => (bed === null ? {} : { bed: { ...bed, areaM2 } })],
  ];
  return tries.flatMap(([text, kind, name, change]) =>
    text === null
      ? []
      : otherUnits(text, kind, (value) => fits(change(value))).map((other) => `${name}${other}`),
  );
}

/** Three digits, and whole above 100. */
function figure(value: number): string {
  return String(value >= 100 ? Math.round(value) : Number(value.toPrecision(3)));
}
