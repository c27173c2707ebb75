import type { ColumnMeasures } from '../../../adapters/column-measures.ts';
import type { SiteClock } from '../../../adapters/site-clock.ts';
import type { Site } from '../../../calc/schedule/site.ts';
import { grouped } from '../../grouped.ts';
import type { RunRecord } from '../run-record.ts';
import type { SiteRecord } from '../site-record.ts';

/** What every table is made from. */
export interface TableContext {
  record: SiteRecord;
  clock: SiteClock;
  measures: ColumnMeasures;
  /** "(America/New_York)", for headings of times and days. */
  zone: string;
  nameOf(bedId: string): string;
  /** Stations of a bed: those of the config, or, for a bed that is gone, those that ran. */
  stationsIn(bedId: string): number;
}

export function tableContext(
  record: SiteRecord,
  given: { clock: SiteClock; measures: ColumnMeasures },
): TableContext {
  const { site, runs, days } = record;
  const stations = grouped(site.stations, (station) => station.bedId);
  const ran = grouped(runs, (run) => run.bedId);
  const named = new Map([
    ...days.flatMap(
      ({ firstPlan }) => firstPlan?.beds.map((bed) => [bed.bedId, bed.name] as const) ?? [],
    ),
    ...site.beds.map((bed) => [bed.id, bed.name] as const),
  ]);
  return {
    record,
    ...given,
    zone: `(${given.clock.zone})`,
    nameOf: (bedId) => named.get(bedId) ?? bedId,
    stationsIn: (bedId) =>
      stations.get(bedId)?.length ??
      Math.max(1, new Set(ran.get(bedId)?.map((run) => run.stationId)).size),
  };
}

/** Day and minute at the site, with the offset where an hour comes twice: "2026-07-01 14:05 -04:00". */
export function siteTime(clock: SiteClock, instantMs: number): string {
  const iso = clock.isoOf(instantMs);
  return `${iso.slice(0, 10)} ${iso.slice(11, 16)} ${iso.endsWith('Z') ? '+00:00' : iso.slice(19)}`;
}

/** Which stations' depths rest on a rate that nobody measured, in words; null: all are measured. */
export function rateEstimate(site: Site, runs: readonly RunRecord[]): string | null {
  const used = new Set(runs.map((run) => run.stationId));
  const assumed = site.stations.filter((one) => used.has(one.id) && !one.rateMeasured);
  if (assumed.length === 0) return null;
  return used.size === assumed.length
    ? 'rate not measured on the site'
    : `rate of ${assumed.length} of ${used.size} stations not measured on the site`;
}
