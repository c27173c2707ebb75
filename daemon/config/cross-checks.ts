import { sandClasses } from '../../calc/sand/sand-classes.ts';
import { configDoubts } from './doubts.ts';
import type { Entry } from './entry.ts';
import { idsOf, twins, unknownName } from './names.ts';
import { outputChecks } from './output-checks.ts';
import type { ConfigParts } from './parts.ts';
import type { ConfigProblem } from './problems.ts';
import { stationRate } from './station-rate.ts';
import type { StationConfig } from './station-schema.ts';
import { supplyChecks } from './supply-checks.ts';

/**
 * What is wrong between the parts: names that lead nowhere, twins, bounds that leave no day, figures
 * that cannot be meant.
 */
export function crossChecks(parts: ConfigParts): ConfigProblem[] {
  const bedIds = idsOf(parts.beds);
  const beds = { ids: bedIds, set: new Set(bedIds) };
  return [
    ...twins(parts.beds, 'bed'),
    ...twins(parts.stations, 'station'),
    ...parts.stations.flatMap((station) => stationBed(station, beds)),
    ...parts.stations.flatMap(emptyCans),
    ...bedsWithoutStation(parts),
    ...unknownSands(parts),
    ...unknownKeepOffBeds(parts, beds),
    ...dayBounds(parts),
    ...supplyChecks(parts),
    ...outputChecks(parts),
    ...configDoubts(parts).refused,
  ];
}

/** Ids of all beds, in order and to look one up in: a site can have thousands of each. */
interface BedIds {
  ids: readonly string[];
  set: ReadonlySet<string>;
}

function stationBed(station: Entry<StationConfig>, beds: BedIds): ConfigProblem[] {
  const bedId = station.value?.bed;
  // Without any bed the list itself is at fault, and is told of.
  if (bedId === undefined || beds.ids.length === 0 || beds.set.has(bedId)) return [];
  return [station.problem(['bed'], unknownName('bed', bedId, beds.ids))];
}

function bedsWithoutStation({ beds, stations }: ConfigParts): ConfigProblem[] {
  // A station that could not be read may be the one that waters the bed.
  if (stations.length === 0 || stations.some((station) => station.value === null)) return [];
  const watered = new Set(stations.map((station) => station.value?.bed));
  return beds
    .filter((bed) => bed.id !== null && !watered.has(bed.id))
    .map((bed) =>
      bed.problem(
        ['id'],
        `has no station (got ${bed.id}); add a station with this bed, or take the bed out`,
      ),
    );
}

function unknownSands({ beds, sandNames }: ConfigParts): ConfigProblem[] {
  const known = [...sandNames, ...sandClasses.map((one) => one.key)];
  return beds.flatMap((bed) => {
    const sand = bed.value?.sand;
    if (sand === undefined || known.includes(sand)) return [];
    return [bed.problem(['sand'], unknownName('sand', sand, known))];
  });
}

function unknownKeepOffBeds({ keepOffs }: ConfigParts, beds: BedIds): ConfigProblem[] {
  if (beds.ids.length === 0) return [];
  return keepOffs.flatMap((keepOff) => {
    const named = keepOff.value?.beds;
    if (named === undefined || named === 'all') return [];
    return named.flatMap((bedId, index) =>
      beds.set.has(bedId)
        ? []
        : [keepOff.problem(['beds', index], unknownName('bed', bedId, beds.ids))],
    );
  });
}

function emptyCans(station: Entry<StationConfig>): ConfigProblem[] {
  if (!station.value) return [];
  try {
    stationRate(station.value.rate);
    return [];
  } catch (error) {
    if (!(error instanceof RangeError)) throw error;
    const message = 'caught nothing in any can (got zeros); run the test again';
    return [station.problem(['rate', 'catch_cans'], message)];
  }
}

/** The shortest day at most inhabited latitudes has eight hours of light. */
const SHORT_DAY_MIN = 8 * 60;

function dayBounds({ rules }: ConfigParts): ConfigProblem[] {
  if (!rules.value) return [];
  const { first_after_sunrise, last_before_sunset } = rules.value;
  const takenMin = first_after_sunrise + last_before_sunset;
  if (takenMin < SHORT_DAY_MIN) return [];
  return [
    rules.problem(
      ['last_before_sunset'],
      `leaves no time to water on a short day (got ${takenMin} min kept off at both ends); keep first_after_sunrise and last_before_sunset together below ${SHORT_DAY_MIN} min`,
    ),
  ];
}
