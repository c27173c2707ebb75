import type { UnitDisplay } from '../../../adapters/display-units.ts';
import type { LoadedConfig } from '../../site/config/config.ts';
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

/** The rows as CSV after RFC 4180; no field needs quotes. */
export function prospectCsv(rows: readonly ProspectRow[]): string {
  const heading = Object.keys(rows[0] ?? {});
  const lines = rows.map((row) => heading.map((key) => String(row[key] ?? '')).join(','));
  return [heading.join(','), ...lines].join('\r\n');
}

/** The answers as a person reads them. */
export function prospectTable(
  config: LoadedConfig,
  found: readonly Prospect[],
  show: UnitDisplay,
): string {
  const beds = config.site.beds.length;
  const rows = prospectRows(config, found);
  const lines = found.map((one, index) => {
    const row = rows[index] ?? {};
    const window = (what: string) => {
      const least = row[`${what}_least_days`];
      return least === null ? 'too cold' : `day ${least} to ${row[`${what}_most_days`]}`;
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
      one.bedsAtOnce >= beds ? `yes, all ${beds}` : `no: ${one.bedsAtOnce} of ${beds}`,
      one.bedsAWeek === null ? '-' : String(one.bedsAWeek),
    ];
  });
  return [
    `All ${beds} beds seeded on one day, watered to the middle of the first mowing's window (pump ${show.flow(config.site.limits.pumpFlowLPerMin)})`,
    table(
      [
        'seeded',
        'first green',
        'first mow',
        'water a day',
        'peak day',
        'in all',
        'most cycles',
        'peak flow',
        'supply carries',
        'beds a week',
      ],
      lines,
    ),
    'Windows of days over a base of 5 °C, both paces assumed; a typical year is no forecast. "Supply carries": beds in germination at once on the hardest day; "beds a week": so that no more are in germination together.',
  ].join('\n');
}

function round(value: number): number {
  return Math.round(value * 10) / 10;
}
