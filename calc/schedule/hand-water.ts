import type { Run } from './run.ts';
import type { Site } from './site.ts';

/** Water that a person gave to a bed beside the plan. */
export interface HandWater {
  bedId: string;
  /** The station that was run; null: a hose or a can over the whole bed. */
  stationId: string | null;
  startMs: number;
  runS: number;
  /** Depth that left the nozzles; with a hose, what reached the bed. */
  grossMm: number;
}

/**
 * Hand watering as runs, so that the stores count it as they count a cycle: up to what they hold.
 *
 * A station loses drift in flight; a hose is held at the turf and does not. What goes over the whole
 * bed is given to the share of each of its stations, since a run waters its station's share alone.
 *
 * @param asked what was given; the site; the part lost in flight at an instant, 0 to 1.
 */
export function handWaterRuns(asked: {
  given: readonly HandWater[];
  site: Site;
  driftAt(instantMs: number): number;
}): Run[] {
  const { given, site, driftAt } = asked;
  return given.flatMap(({ bedId, stationId, startMs, runS, grossMm }) => {
    const shares = site.stations.filter(
      (station) => station.bedId === bedId && (stationId === null || station.id === stationId),
    );
    const lost = stationId === null ? 0 : driftAt(startMs);
    const netMm = grossMm * (1 - lost);
    return shares.map(
      (station): Run => ({
        bedId,
        stationId: station.id,
        startMs,
        runS,
        rotations: stationId === null ? 0 : Math.floor(runS / station.rotationS),
        grossMm,
        netMm,
        cycle: 0,
      }),
    );
  });
}
