import type { GivenWater } from '../../calc/schedule/dry-moves.ts';
import type { LoadedConfig } from '../config/loaded-config.ts';
import { whatRan } from '../field/run-states.ts';
import { grouped } from '../grouped.ts';
import type { Db } from '../store/database.ts';

const NEVER_TO_RUN: ReadonlySet<string> = new Set(['withdrawn', 'missed', 'rejected']);

/** What was to run since an instant, as each bed's mean: without held beds and runs never sent. */
export function waterToRun(
  db: Db,
  { site, field: rule }: Pick<LoadedConfig, 'site' | 'field'>,
  { fromMs, nowMs }: { fromMs: number; nowMs: number },
): GivenWater[] {
  const { runs } = whatRan(db, { fromMs, nowMs, rule });
  const stationsOf = grouped(site.stations, (station) => station.bedId);
  return runs
    .filter(({ withoutReport }) => !NEVER_TO_RUN.has(withoutReport))
    .map(({ run }) => ({
      bedId: run.bedId,
      startMs: run.startMs,
      netMm: run.netMm / Math.max(1, stationsOf.get(run.bedId)?.length ?? 1),
    }));
}
