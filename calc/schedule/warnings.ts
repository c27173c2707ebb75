import type { BedPlan, PlanWeather } from './day-plan.ts';
import { longRuns } from './long-runs.ts';
import type { PlanWarning } from './plan-warning.ts';
import type { Shortage } from './shortage.ts';
import type { Site } from './site.ts';

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
