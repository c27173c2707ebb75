import type { TableContext } from '../tables/table-context.ts';
import type { PlotDay } from './day-plot.ts';

/** Loss and water of each day as means over the area of all beds. Pure. */
export function plotDays({ record, stationsIn }: TableContext): PlotDay[] {
  const areaOf = new Map(record.site.beds.map((bed) => [bed.id, bed.areaM2]));
  const allM2 = record.site.beds.reduce((sum, bed) => sum + bed.areaM2, 0);
  const shareOf = (bedId: string) => (allM2 > 0 ? (areaOf.get(bedId) ?? 0) / allM2 : 0);
  return record.days.map(({ siteDay, startMs, endMs, weather }): PlotDay => {
    const bedDays = record.bedDays.filter((one) => one.siteDay === siteDay && one.lossMm !== null);
    const within = (one: { startMs: number }) => one.startMs >= startMs && one.startMs < endMs;
    const runs = record.runs.filter(within);
    const netOf = (of: typeof runs) =>
      of.reduce((sum, run) => sum + (run.netMm * shareOf(run.bedId)) / stationsIn(run.bedId), 0);
    return {
      siteDay,
      lossMm:
        bedDays.length === 0
          ? null
          : bedDays.reduce((sum, one) => sum + (one.lossMm ?? 0) * shareOf(one.bedId), 0),
      knownMm: netOf(runs.filter((run) => run.basis !== 'assumed')),
      assumedMm: netOf(runs.filter((run) => run.basis === 'assumed')),
      handMm: record.hand
        .filter(within)
        .reduce((sum, one) => sum + one.bedMm * shareOf(one.bedId), 0),
      rainMm: weather?.rainMm ?? null,
    };
  });
}
