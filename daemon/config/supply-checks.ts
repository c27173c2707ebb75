import type { Entry } from './entry.ts';
import type { PipeConfig } from './limits-schema.ts';
import { idsOf, twins, unknownName } from './names.ts';
import type { ConfigParts } from './parts.ts';
import type { ConfigProblem } from './problems.ts';
import type { StationConfig } from './station-schema.ts';

type PipeKind = 'main' | 'lateral';

/** What does not fit between the stations and the supply behind them. */
export function supplyChecks(parts: ConfigParts): ConfigProblem[] {
  const supply = parts.supply.value;
  return [
    ...twins(parts.mains, 'main'),
    ...twins(parts.laterals, 'lateral'),
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
