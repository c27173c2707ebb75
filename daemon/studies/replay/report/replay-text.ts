import type { BedUse } from '../../../../calc/schedule/leeway-change.ts';
import type { Say } from '../../../words/language.ts';
import { type Reader, sayTo } from '../../../words/plan-words.ts';
import { table } from '../../../words/text-columns.ts';
import { type Coverage, coverageOf } from '../coverage.ts';
import type { ReplayedDay } from '../replay.ts';
import { meanOfDay } from './figures.ts';

/** How the days were replayed. */
export interface ReplayCaption {
  /** The source that the mornings foresaw by, or what stood in for one. */
  forecast: { kind: 'perfect' | 'persistence' } | { kind: 'source'; source: string };
  /** Minutes after which each further plan was confirmed; null: the morning's plan stood all day. */
  confirmedAfterMin: number | null;
  /** Whether each day was followed within the leeway of its morning's plan. */
  isFollowed?: boolean;
  /** Where the weather comes from, in the words of its source. */
  weather: string;
}

export function sayForecast({ forecast }: Pick<ReplayCaption, 'forecast'>, say: Say): string {
  return forecast.kind === 'source' ? forecast.source : say(`replay.forecast.${forecast.kind}`);
}

export function sayRevisions(
  { confirmedAfterMin: minutes, isFollowed = false }: ReplayCaption,
  say: Say,
): string {
  if (isFollowed) return say('replay.revisions.followed');
  return minutes === null
    ? say('replay.revisions.none')
    : say('replay.revisions.confirmed', { minutes });
}

/**
 * How many of the real drying times fell inside the bands that the mornings told, and how many ought to;
 * null: none was told, as where the mornings knew the weather.
 */
export function sayCoverage(days: readonly ReplayedDay[], say: Say): string | null {
  const coverage = coverageOf(days.flatMap(({ dryings }) => dryings));
  if (coverage.bands === 0) return null;
  const pct = (fraction: number) => Math.round(100 * fraction);
  return say('replay.coverage', {
    bands: coverage.bands,
    inside: pct(coverage.insideFraction),
    before: pct(coverage.beforeFraction),
    after: pct(coverage.afterFraction),
  });
}

/** "88 %"; a dash where nothing was told. */
export function sayInside({ bands, insideFraction }: Coverage): string {
  return bands === 0 ? '-' : `${Math.round(100 * insideFraction)} %`;
}

/** Cycles left out, moved and added: "3 / 12 / 1". */
function sayUseCounts(uses: readonly BedUse[]): string {
  const sum = (of: (use: BedUse) => number) => uses.reduce((total, use) => total + of(use), 0);
  const counts = [
    sum(({ leftOut }) => leftOut.length),
    sum(({ moved }) => moved.length),
    sum(({ addedMs }) => addedMs.length),
  ];
  return counts.join(' / ');
}

/** One row a day, as a person reads it in a terminal. */
export function replayTable(
  days: readonly ReplayedDay[],
  caption: ReplayCaption,
  reader: Reader,
): string {
  const say = sayTo(reader);
  const { isFollowed = false } = caption;
  const { depth } = reader.show;
  const coverage = sayCoverage(days, say);
  const rows = days.map((day) => {
    const lossMm = meanOfDay(day, (one) => one.lossMm);
    const netMm = meanOfDay(day, (one) => one.netMm);
    return [
      day.siteDay,
      depth(lossMm),
      depth(netMm),
      lossMm > 0 ? `${Math.round((100 * netMm) / lossMm)} %` : '-',
      depth(meanOfDay(day, (one) => one.drainedMm)),
      meanOfDay(day, (one) => one.cycles).toFixed(1),
      String(Math.round(meanOfDay(day, (one) => one.minutesBelowDryLimit))),
      isFollowed ? sayUseCounts(day.uses ?? []) : String(day.revisions),
      ...(coverage === null ? [] : [sayInside(coverageOf(day.dryings))]),
    ];
  });
  return [
    say('replay.means', {
      forecast: sayForecast(caption, say),
      revisions: sayRevisions(caption, say),
    }),
    table(
      [
        say('replay.column.day'),
        say('replay.column.loss'),
        say('replay.column.net'),
        say('replay.column.share'),
        say('replay.column.drained'),
        say('replay.column.cycles'),
        say('replay.column.dry'),
        say(isFollowed ? 'replay.column.uses' : 'replay.column.revisions'),
        ...(coverage === null ? [] : [say('replay.column.inside')]),
      ],
      rows,
    ),
    ...(coverage === null ? [] : [coverage]),
  ].join('\n');
}
