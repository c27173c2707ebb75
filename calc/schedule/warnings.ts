import type { BedPlan, PlanWeather, Shortage } from './day-plan.ts';
import type { PlanWarning } from './plan-warning.ts';
import type { Site } from './site.ts';
import { type NightException, type NightWater, takesDeepRefill } from './water-hours.ts';

/** Above this part of the water given, what drains is worth a warning. */
const DRAINS_FRACTION = 0.15;

/** What the person must know about a plan before confirming it, as far as the plan itself tells it. */
export function planWarnings(input: {
  site: Site;
  beds: readonly BedPlan[];
  shortages: readonly Shortage[];
  weather: PlanWeather;
}): PlanWarning[] {
  const { site, beds, shortages, weather } = input;
  const { carried, usual } = weather.hoursByOrigin;
  const assumedRates = site.stations.filter((station) => !station.rateMeasured).length;
  const assumedSands = site.beds.filter((bed) => bed.sand.basis === 'class_default').length;
  return [
    ...shortages.map(({ bedId, fromMs }): PlanWarning => ({ code: 'does_not_fit', bedId, fromMs })),
    ...beds
      .filter((bed) => bed.drainedMm > bed.netMm * DRAINS_FRACTION)
      .map(({ bedId, drainedMm, netMm }): PlanWarning => {
        return { code: 'drains', bedId, drainedMm, netMm };
      }),
    ...beds.flatMap((bed) => stationsDiffer(bed) ?? []),
    ...longRuns(site, beds),
    ...(carried > 0 ? [ofSite({ code: 'weather_carried', hours: carried })] : []),
    ...(usual > 0 ? [ofSite({ code: 'weather_usual', hours: usual })] : []),
    ...weather.filled.map(({ field, how, hours }) =>
      ofSite({ code: 'weather_filled', field, how, hours }),
    ),
    ...(assumedRates > 0
      ? [ofSite({ code: 'rate_assumed', assumed: assumedRates, stations: site.stations.length })]
      : []),
    ...(assumedSands > 0
      ? [ofSite({ code: 'sand_assumed', assumed: assumedSands, beds: site.beds.length })]
      : []),
  ];
}

type WithoutBed<Warning> = Warning extends PlanWarning ? Omit<Warning, 'bedId'> : never;

/** A warning of the whole site. */
function ofSite(facts: WithoutBed<PlanWarning>): PlanWarning {
  return { ...facts, bedId: null } as PlanWarning;
}

/** What a person must know of stations that give their parts more than a turn more or less; or null. */
function stationsDiffer({ bedId, stations = [] }: BedPlan): PlanWarning | null {
  const [first] = stations;
  if (first === undefined) return null;
  const least = stations.reduce((low, one) => (one.netMm < low.netMm ? one : low), first);
  const most = stations.reduce((high, one) => (one.netMm > high.netMm ? one : high), first);
  const turnMm = Math.max(
    ...stations.map(({ netMm, rotations }) => (rotations > 0 ? netMm / rotations : 0)),
  );
  if (most.netMm - least.netMm <= turnMm) return null;
  return {
    code: 'stations_differ',
    bedId,
    mostStationId: most.stationId,
    mostMm: most.netMm,
    mostTurnMm: most.netMm / Math.max(1, most.rotations),
    leastStationId: least.stationId,
    leastMm: least.netMm,
  };
}

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

/** What a person must know of water at night: which beds get it and why, and what came too late. */
export function nightWarnings(input: {
  night: NightWater;
  beds: readonly BedPlan[];
  firstRunMs: number;
}): PlanWarning[] {
  const { night, beds, firstRunMs } = input;
  const told = EXCEPTIONS.flatMap((exception): PlanWarning[] => {
    const watered = beds.filter(({ cycles }) =>
      cycles.some(({ reasons }) =>
        reasons.some((one) => one.code === 'night_water' && one.exception === exception),
      ),
    );
    if (watered.length === 0) return [];
    const bedIds = watered.map(({ bedId }) => bedId);
    return [{ code: 'night_water', bedId: null, exception, bedIds }];
  });
  const { deepRefill } = night;
  const late = beds.filter((bed) => takesDeepRefill(bed.stage));
  if (deepRefill === null || deepRefill.startMs >= firstRunMs || late.length === 0) return told;
  const { startMs: refillStartMs, endMs: refillEndMs } = deepRefill;
  return [
    ...told,
    { code: 'deep_refill_missed', bedId: null, refillStartMs, refillEndMs, firstRunMs },
  ];
}

const EXCEPTIONS: readonly NightException[] = ['dry_wind', 'first_night', 'deep_refill'];
