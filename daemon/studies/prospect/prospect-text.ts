import { csvText } from '../../../adapters/csv-text.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
import { type Reader, sayTo } from '../../words/plan-words.ts';
import { table } from '../../words/text-columns.ts';
import { daysBetween, type Prospect } from './prospect.ts';

/** One row of the answer, SI, as machines read it. */
export type ProspectRow = Record<string, string | number | boolean | null>;

/** The answers as rows; instants as site days, windows as days after seeding. */
export function prospectRows(config: LoadedConfig, found: readonly Prospect[]): ProspectRow[] {
  const { pumpFlowLPerMin } = config.site.limits;
  return found.map((one) => {
    const { firstGreen, firstMow } = one.course;
    const after = (ms: number | undefined) =>
      ms === undefined ? null : daysBetween({ config, seededOn: one.seededOn }, ms);
    return {
      seeded_on: one.seededOn,
      first_green_least_days: after(firstGreen?.earliestMs),
      first_green_most_days: after(firstGreen?.latestMs),
      first_mow_least_days: after(firstMow?.earliestMs),
      first_mow_most_days: after(firstMow?.latestMs),
      followed_days: one.days,
      water_a_day_l: round(one.waterL / Math.max(1, one.days)),
      water_l: round(one.waterL),
      peak_day: one.peakDay,
      peak_day_l: round(one.peakDayL),
      peak_cycles_a_day: one.peakCycles,
      peak_flow_l_per_min: round(one.peakFlowLPerMin),
      pump_flow_l_per_min: round(pumpFlowLPerMin),
      beds: config.site.beds.length,
      beds_at_once: one.bedsAtOnce,
      supply_carries_all: one.bedsAtOnce >= config.site.beds.length,
      beds_a_week: one.bedsAWeek,
      dry_min: one.dryMin,
    };
  });
}

/** The rows as CSV. */
export function prospectCsv(rows: readonly ProspectRow[]): string {
  const heading = Object.keys(rows[0] ?? {});
  const fields = rows.map((row) => heading.map((key) => String(row[key] ?? '')));
  return csvText([heading, ...fields]).trimEnd();
}

/** The answers as a person reads them. */
export function prospectTable(
  config: LoadedConfig,
  found: readonly Prospect[],
  reader: Reader,
): string {
  const { show } = reader;
  const say = sayTo(reader);
  const beds = config.site.beds.length;
  const rows = prospectRows(config, found);
  const lines = found.map((one, index) => {
    const row = rows[index] ?? {};
    const window = (what: string) => {
      const least = row[`${what}_least_days`];
      const most = row[`${what}_most_days`];
      return typeof least === 'number' && typeof most === 'number'
        ? say('prospect.window', { least, most })
        : say('prospect.too_cold');
    };
    return [
      one.seededOn,
      window('first_green'),
      window('first_mow'),
      show.volume(one.waterL / Math.max(1, one.days)),
      show.volume(one.peakDayL),
      show.volume(one.waterL),
      String(one.peakCycles),
      show.flow(one.peakFlowLPerMin),
      one.bedsAtOnce >= beds
        ? say('prospect.carries_all', { beds })
        : say('prospect.carries_some', { some: one.bedsAtOnce, beds }),
      one.bedsAWeek === null ? '-' : String(one.bedsAWeek),
    ];
  });
  return [
    say('prospect.intro', { beds, pump: show.flow(config.site.limits.pumpFlowLPerMin) }),
    table(
      [
        say('prospect.column.seeded'),
        say('prospect.column.first_green'),
        say('prospect.column.first_mow'),
        say('prospect.column.water_a_day'),
        say('prospect.column.peak_day'),
        say('prospect.column.in_all'),
        say('prospect.column.most_cycles'),
        say('prospect.column.peak_flow'),
        say('prospect.column.carries'),
        say('prospect.column.beds_a_week'),
      ],
      lines,
    ),
    say('prospect.about'),
  ].join('\n');
}

function round(value: number): number {
  return Math.round(value * 10) / 10;
}
