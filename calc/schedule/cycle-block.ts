import { runForDepth } from '../sprinkler/run-time.ts';
import type { Limits, Station } from './site.ts';

/** One station's part of a cycle, relative to the cycle's start. */
export interface BlockRun {
  station: Station;
  offsetS: number;
  runS: number;
  rotations: number;
  grossMm: number;
  netMm: number;
}

/** A cycle of one bed before it has a start: its stations' runs laid against each other. */
export interface CycleBlock {
  runs: BlockRun[];
  durationS: number;
  /** From the cycle's start to the start of its last station: the wait of the last part to drink. */
  leadS: number;
  /** Means over the stations. */
  grossMm: number;
  netMm: number;
  rotations: number;
}

/**
 * The cycle that gives a bed a net depth: every station runs whole rotations, never more than the
 * depth asked for unless one rotation already is more.
 *
 * Stations start one after the other, `startGapS` apart at least (valves that open together hammer
 * the pipe), and no faster than the pump's flow may rise; `in_turn` waits for each station to end.
 *
 * @throws RangeError when the bed has no station.
 */
export function cycleBlock(input: {
  stations: readonly Station[];
  netMm: number;
  driftLossFraction: number;
  limits: Pick<Limits, 'startGapS' | 'leastRunS' | 'runStepS' | 'stationOrder' | 'pumpRiseLPerMin'>;
}): CycleBlock {
  const { stations, netMm, driftLossFraction, limits } = input;
  if (stations.length === 0) {
    throw new RangeError('stations: a cycle needs a station (got none); give the bed a station');
  }
  const runs: BlockRun[] = [];
  let offsetS = 0;
  for (const station of stations) {
    const run = runForDepth({
      netMm: netMm * station.runTimeMultiplierFraction,
      precipitationRateMmPerH: station.precipitationRateMmPerH,
      driftLossFraction,
      rotationS: station.rotationS,
      leastRunS: limits.leastRunS,
      runStepS: limits.runStepS,
    });
    runs.push({ station, offsetS, ...run });
    const gapS = Math.max(limits.startGapS, riseGapS(station, limits.pumpRiseLPerMin));
    offsetS += limits.stationOrder === 'in_turn' ? Math.max(run.runS, gapS) : gapS;
  }
  return {
    runs,
    durationS: Math.max(...runs.map((run) => run.offsetS + run.runS)),
    leadS: Math.max(...runs.map((run) => run.offsetS)),
    grossMm: mean(runs.map((run) => run.grossMm)),
    netMm: mean(runs.map((run) => run.netMm)),
    rotations: Math.max(...runs.map((run) => run.rotations)),
  };
}

/** Between starts of stations of this flow, so that no minute sees more of them than may rise. */
function riseGapS(station: Station, pumpRiseLPerMin: number | null): number {
  if (pumpRiseLPerMin === null) return 0;
  return Math.ceil(60 / Math.max(1, Math.floor(pumpRiseLPerMin / station.flowLPerMin)));
}

function mean(values: readonly number[]): number {
  return values.reduce((sum, value) => sum + value, 0) / values.length;
}
