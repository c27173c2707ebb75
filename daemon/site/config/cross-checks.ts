import { sandClasses } from '../../../calc/sand/sand-classes.ts';
import type { ConfigParts } from './config.ts';
import { connectionChecks } from './connections.ts';
import { duplicateIds, type Entry, idsOf, unknownName } from './entry.ts';
import { configDoubts } from './plausibility.ts';
import type { ConfigProblem } from './problems.ts';
import { type StationConfig, stationRate } from './station-schema.ts';
import type { PipeConfig } from './water-supply.ts';

/**
 * What is wrong between the parts: names that lead nowhere, twins, bounds that leave no day, figures
 * that cannot be meant.
 */
export function crossChecks(parts: ConfigParts): ConfigProblem[] {
  const bedIds = idsOf(parts.beds);
  const beds = { ids: bedIds, set: new Set(bedIds) };
  return [
    ...duplicateIds(parts.beds, 'bed'),
    ...duplicateIds(parts.stations, 'station'),
    ...parts.stations.flatMap((station) => stationBed(station, beds)),
    ...parts.stations.flatMap(emptyCans),
    ...bedsWithoutStation(parts),
    ...unknownSands(parts),
    ...unknownKeepOffBeds(parts, beds),
    ...dayBounds(parts),
    ...supplyChecks(parts),
    ...connectionChecks(parts),
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

type PipeKind = 'main' | 'lateral';

/** What does not fit between the stations and the supply behind them. */
function supplyChecks(parts: ConfigParts): ConfigProblem[] {
  const supply = parts.supply.value;
  return [
    ...duplicateIds(parts.mains, 'main'),
    ...duplicateIds(parts.laterals, 'lateral'),
    ...parts.stations.flatMap((station) => [
      ...(supply ? abovePump(station, supply.pump_flow) : []),
      ...(supply?.pump_ramp ? aboveRamp(station, supply.pump_ramp) : []),
      ...(supply ? longerThanRun(station, supply.most_run) : []),
      ...onPipe(station, 'main', parts.mains),
      ...onPipe(station, 'lateral', parts.laterals),
    ]),
    ...restWithinCycles(parts),
    ...runBounds(parts),
    ...(supply?.station_order === 'together' ? bedsTooThirsty(parts) : []),
  ];
}

/** A gap between starts that is longer than a run would stop the pump within a cycle. */
function restWithinCycles({ supply }: ConfigParts): ConfigProblem[] {
  if (!supply.value || supply.value.pump_rest === 0) return [];
  const { start_gap: gapS, least_run: runS } = supply.value;
  if (gapS <= runS) return [];
  return [
    supply.problem(
      ['pump_rest'],
      `cannot be kept within a cycle, where the pump would stop between two stations (got start_gap ${gapS} s, least_run ${runS} s); make start_gap no longer than least_run`,
    ),
  ];
}

function runBounds({ supply }: ConfigParts): ConfigProblem[] {
  if (!supply.value || supply.value.least_run <= supply.value.most_run) return [];
  const { least_run: leastS, most_run: mostS } = supply.value;
  const message = `is longer than the longest run (got ${leastS} s, most_run ${mostS} s); correct one of the two`;
  return [supply.problem(['least_run'], message)];
}

/** Runs are whole rotations: a cap below one would not hold. */
function longerThanRun(station: Entry<StationConfig>, mostRunS: number): ConfigProblem[] {
  const rotationS = station.value?.rotation;
  if (rotationS === undefined || rotationS <= mostRunS) return [];
  const message = `is longer than the longest run (got ${rotationS} s, most_run ${mostRunS} s); correct one of the two`;
  return [station.problem(['rotation'], message)];
}

function abovePump(station: Entry<StationConfig>, pumpFlow: number): ConfigProblem[] {
  const flow = station.value?.flow;
  if (flow === undefined || flow <= pumpFlow) return [];
  return [
    station.problem(
      ['flow'],
      `is more than the pump gives (got ${litres(flow)}, pump_flow ${litres(pumpFlow)}); correct one of the two`,
    ),
  ];
}

function aboveRamp(station: Entry<StationConfig>, pumpRamp: number): ConfigProblem[] {
  const flow = station.value?.flow;
  if (flow === undefined || flow <= pumpRamp) return [];
  return [
    station.problem(
      ['flow'],
      `is more than may come up within a minute (got ${litres(flow)}, pump_ramp ${litres(pumpRamp)}); correct one of the two`,
    ),
  ];
}

function onPipe(
  station: Entry<StationConfig>,
  kind: PipeKind,
  pipes: readonly Entry<PipeConfig>[],
): ConfigProblem[] {
  const pipeId = station.value?.[kind];
  if (!station.value || pipeId === undefined) return [];
  const pipe = pipes.find(({ id }) => id === pipeId);
  if (!pipe) return [station.problem([kind], unknownName(kind, pipeId, idsOf(pipes)))];
  if (!pipe.value || station.value.flow <= pipe.value.flow) return [];
  return [
    station.problem(
      ['flow'],
      `is more than ${kind} ${pipeId} carries (got ${litres(station.value.flow)}, limit ${litres(pipe.value.flow)}); correct one of the two`,
    ),
  ];
}

/** A bed whose stations all run together must fit the supply as one. */
function bedsTooThirsty(parts: ConfigParts): ConfigProblem[] {
  const supply = parts.supply.value;
  if (!supply) return [];
  const stationsOf = new Map<string, StationConfig[]>();
  for (const { value } of parts.stations) {
    if (value === null) continue;
    const own = stationsOf.get(value.bed) ?? [];
    own.push(value);
    stationsOf.set(value.bed, own);
  }
  return parts.beds.flatMap((bed) => {
    const own = stationsOf.get(bed.id ?? '') ?? [];
    if (bed.id === null || own.length < 2) return [];
    const atOnce = supply.stations_at_once ?? Number.POSITIVE_INFINITY;
    const reasons = [
      own.length > atOnce ? `${own.length} stations, stations_at_once ${atOnce}` : null,
      tooMuch('pump_flow', own, supply.pump_flow),
      ...supply.mains.map((pipe) => tooMuchOn('main', pipe, own)),
      ...supply.laterals.map((pipe) => tooMuchOn('lateral', pipe, own)),
    ].filter((reason) => reason !== null);
    return reasons.map((reason) =>
      bed.problem(
        ['id'],
        `can never water all its stations together (got ${reason}); set supply.station_order: in_turn, or correct the flows`,
      ),
    );
  });
}

function tooMuchOn(kind: PipeKind, pipe: PipeConfig, own: readonly StationConfig[]): string | null {
  const onIt = own.filter((station) => station[kind] === pipe.id);
  // One station above its pipe is told at the station.
  return onIt.length < 2 ? null : tooMuch(`${kind} ${pipe.id}`, onIt, pipe.flow);
}

function tooMuch(limit: string, own: readonly StationConfig[], mostFlow: number): string | null {
  const flow = own.reduce((sum, station) => sum + station.flow, 0);
  return flow > mostFlow ? `${litres(flow)}, ${limit} ${litres(mostFlow)}` : null;
}

function litres(flowLPerMin: number): string {
  return `${Number(flowLPerMin.toFixed(1))} L/min`;
}
