import type { BedPlan } from './day-plan.ts';
import type { PlanWarning } from './plan-warning.ts';
import type { Site } from './site.ts';

/** A seedbed takes a few rotations at a time: more speak of a rate that is not the station's. */
const MOST_USUAL_ROTATIONS = 5;

/**
 * Beds in germination whose cycles take more rotations than a seedbed's dose should, and beds whose
 * cycles end at the longest run before they have brought what the bed has room for: each with the
 * figures that make it so.
 */
export function longRuns(
  { stations, limits }: Pick<Site, 'stations' | 'limits'>,
  beds: readonly BedPlan[],
): PlanWarning[] {
  return beds.flatMap((bed): PlanWarning[] => {
    const longest = bed.cycles.reduce(
      (most, cycle) => (cycle.rotations > (most?.rotations ?? 0) ? cycle : most),
      bed.cycles[0],
    );
    // The station that needs most rotations for a depth.
    const slowest = stations
      .filter((station) => station.bedId === bed.bedId)
      .toSorted((a, b) => rotationMm(a) - rotationMm(b))[0];
    if (longest === undefined || slowest === undefined) return [];
    const { rotations, grossMm } = longest;
    const isCapped = (rotations + 1) * slowest.rotationS > limits.mostRunS && rotations > 1;
    const isMany = bed.stage === 'germination' && rotations > MOST_USUAL_ROTATIONS;
    if (!isCapped && !isMany) return [];
    return [
      {
        code: 'long_runs',
        bedId: bed.bedId,
        stationId: slowest.id,
        rotations,
        runS: rotations * slowest.rotationS,
        grossMm,
        rotationS: slowest.rotationS,
        rotationMm: rotationMm(slowest),
        rateMmPerH: slowest.precipitationRateMmPerH,
        mostRunS: isCapped ? limits.mostRunS : null,
      },
    ];
  });
}

function rotationMm(station: Site['stations'][number]): number {
  return (station.rotationS * station.precipitationRateMmPerH) / 3600;
}
