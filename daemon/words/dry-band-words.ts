import type { BedPlan } from '../../calc/schedule/day-plan.ts';
import { type Reader, sayTo } from './plan-words.ts';

/** When a bed gets dry without water, as far as it is told; plans of before have no band. */
export type ToldDry = Pick<BedPlan, 'dryAtMs' | 'dryBandMs'>;

type Told = Pick<Reader, 'language' | 'clock'>;

/** Where a time to dry has no band that says more than the time itself. */
const NO_BAND = { from: null, to: null };

/**
 * The two ends of the band as times, null where it is open; both null where there is none to tell: an
 * older plan, a bed that is dry in all that may come, or ends in the same minute.
 */
function endsOf(
  { dryAtMs, dryBandMs }: ToldDry,
  nowMs: number,
  reader: Told,
): { from: string | null; to: string | null } {
  if (dryBandMs === undefined || (dryAtMs !== null && dryAtMs <= nowMs)) return NO_BAND;
  const { earliestMs, latestMs } = dryBandMs;
  const from = earliestMs === null ? null : whenOf(earliestMs, nowMs, reader);
  const to = latestMs === null ? null : whenOf(latestMs, nowMs, reader);
  return from === to ? NO_BAND : { from, to };
}

/** "11:40", "06:20 tomorrow", "now". */
function whenOf(atMs: number, nowMs: number, reader: Told): string {
  const say = sayTo(reader);
  if (atMs <= nowMs) return say('dry_band.now');
  const { clock } = reader;
  const at = clock.timeOf(atMs);
  return clock.siteDayOf(atMs) === clock.siteDayOf(nowMs) ? at : say('dry_band.tomorrow', { at });
}

/** The band alone, for a table: "10:50 to 12:55", "10:50 or later"; null where there is none. */
export function shortBand(bed: ToldDry, nowMs: number, reader: Told): string | null {
  const { from, to } = endsOf(bed, nowMs, reader);
  if (from === null) return null;
  const say = sayTo(reader);
  return to === null ? say('dry_band.open', { from }) : say('dry_band.short', { from, to });
}

/** A time to dry that is told already, with its band behind it: "11:40 (10:50 to 12:55)". */
export function withBand(told: string, bed: ToldDry, nowMs: number, reader: Told): string {
  const band = shortBand(bed, nowMs, reader);
  return band === null ? told : sayTo(reader)('dry_band.behind', { told, band });
}

/**
 * When a bed gets dry, in a sentence: "Dry at about 11:40 without water, between 10:50 and 12:55 nine
 * times in ten."
 */
export function sayDry(bed: ToldDry, nowMs: number, reader: Told): string {
  const say = sayTo(reader);
  const { dryAtMs } = bed;
  const { from, to } = endsOf(bed, nowMs, reader);
  if (dryAtMs === null) {
    return from === null ? say('dry.not_soon') : say('dry.not_soon.from', { from });
  }
  if (dryAtMs <= nowMs) return say('dry.already');
  const at = whenOf(dryAtMs, nowMs, reader);
  if (from === null) return say('dry.at', { at });
  return to === null ? say('dry.at.open', { at, from }) : say('dry.at.between', { at, from, to });
}
