import type { SiteDay } from '../../../adapters/site-clock.ts';
import { seasonStart } from '../../planning/applied-water.ts';
import { firstPlanDay } from '../../site/store/plans.ts';
import { MAX_RECORD_DAYS } from '../../studies/records/record-days.ts';
import { dayGiven, wrongOption } from './given-options.ts';
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
      throw wrongOption('day', 'span.day_alone');
    }
    const day = dayGiven('day', options.day);
    return { from: day, to: day };
  }
  const season = seasonStart(today, config.seasonFrom);
  const first = firstPlanDay(db, season) ?? today;
  const from = options.from === undefined ? first : dayGiven('from', options.from);
  const to = options.to === undefined ? today : dayGiven('to', options.to);
  if (from > to) {
    throw wrongOption('from', 'span.turned', { from, to });
  }
  if (config.clock.addDays(from, MAX_RECORD_DAYS - 1) < to) {
    throw wrongOption('from', 'span.too_long', { most: MAX_RECORD_DAYS, from, to });
  }
  return { from, to };
}
