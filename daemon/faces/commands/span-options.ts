import type { SiteDay } from '../../../adapters/site-clock.ts';
import { seasonStart } from '../../planning/applied-water.ts';
import { firstPlanDay } from '../../site/store/plans.ts';
import { parseSiteDay } from '../../site/time/site-clock.ts';
import { MAX_RECORD_DAYS } from '../../studies/records/record-days.ts';
import { CommandFailure } from './shell.ts';
import type { SiteSession } from './site-session.ts';

export interface SpanOptions {
  day?: string;
  from?: string;
  to?: string;
}

/**
 * The days that a person asked for: one, a span, or the season so far, which begins with its first
 * plan.
 */
export function askedSpan(
  options: SpanOptions,
  { config, db }: Pick<SiteSession, 'config' | 'db'>,
  nowMs: number,
): { from: SiteDay; to: SiteDay } {
  const today = config.clock.siteDayOf(nowMs);
  if (options.day !== undefined) {
    if (options.from !== undefined || options.to !== undefined) {
      throw new CommandFailure(2, '--day: goes without --from and --to; leave one of them out');
    }
    const day = dayOf('--day', options.day);
    return { from: day, to: day };
  }
  const season = seasonStart(today, config.seasonFrom);
  const first = firstPlanDay(db, season) ?? today;
  const from = options.from === undefined ? first : dayOf('--from', options.from);
  const to = options.to === undefined ? today : dayOf('--to', options.to);
  if (from > to) {
    throw new CommandFailure(2, `--from: lies after --to (got ${from} and ${to}); turn them round`);
  }
  if (config.clock.addDays(from, MAX_RECORD_DAYS - 1) < to) {
    throw new CommandFailure(
      2,
      `--from: more than ${MAX_RECORD_DAYS} days (got ${from} to ${to}); ask for a shorter span`,
    );
  }
  return { from, to };
}

function dayOf(option: string, text: string): SiteDay {
  const day = parseSiteDay(text);
  if (day !== null) return day;
  throw new CommandFailure(
    2,
    `${option}: is no calendar day (got ${text}); write it like 2026-07-01`,
  );
}
