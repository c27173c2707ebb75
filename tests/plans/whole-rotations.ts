import type { Station } from '../../calc/schedule/site.ts';
import type { BedFacts, DayFacts } from './day-facts.ts';
import type { SupplyRun } from './supply-in-use.ts';

/** A cycle that could be given, relative to its start. */
export interface PossibleCycle {
  runs: { station: Station; offsetMs: number; runMs: number }[];
  durationMs: number;
  /** Depth that leaves the nozzles, mean over the stations. */
  grossMm: number;
  /** True where every station gives as few rotations as may be. */
  isLeast: boolean;
}

/**
 * Every cycle of whole rotations that one depth for the whole bed makes, up to the cap, the least
 * first: one rotation up. The stations start one after the other as the limits let a pump with
 * nothing else to do.
 */
export function possibleCycles(
  day: DayFacts,
  facts: BedFacts,
  driftFraction: number,
): PossibleCycle[] {
  const { limits } = day;
  const { stations, capMm } = facts;
  const runSOf = (station: Station, rotations: number) =>
    Math.ceil((rotations * station.rotationS) / limits.runStepS - 1e-9) * limits.runStepS;
  const netOf = (station: Station, rotations: number) =>
    (runSOf(station, rotations) * station.precipitationRateMmPerH * (1 - driftFraction)) / 3600;
  const least = stations.map((one) =>
    Math.max(1, Math.ceil(limits.leastRunS / one.rotationS - 1e-9)),
  );
  /** Rotations of each station that stay within a depth. */
  const within = (depthMm: number) =>
    stations.map((one, index) => {
      const wantedMm = depthMm * one.runTimeMultiplierFraction;
      let rotations = least[index] ?? 1;
      while (netOf(one, rotations + 1) <= wantedMm + 1e-9) rotations += 1;
      return rotations;
    });
  const most = within(capMm);
  const depths = stations.flatMap((one, index) =>
    Array.from({ length: most[index] ?? 1 }, (_, at) => {
      return netOf(one, at + 1) / one.runTimeMultiplierFraction + 1e-9;
    }),
  );
  const found = new Map<string, number[]>([[least.join(), least]]);
  for (const depthMm of depths.sort((a, b) => a - b)) {
    if (depthMm > capMm + 1e-6) continue;
    const rotations = within(depthMm);
    found.set(rotations.join(), rotations);
  }
  return [...found.values()].map((rotations) => {
    const runs = spaced(
      day,
      stations.map((station, index) => ({ station, runS: runSOf(station, rotations[index] ?? 1) })),
    );
    return {
      runs,
      durationMs: Math.max(...runs.map((run) => run.offsetMs + run.runMs)),
      grossMm:
        runs.reduce(
          (sum, run) => sum + (run.runMs * run.station.precipitationRateMmPerH) / 3.6e6,
          0,
        ) / stations.length,
      isLeast: rotations.join() === least.join(),
    };
  });
}

/** Runs one after the other, each as soon as gap, rise and order let it. */
function spaced(
  { limits }: DayFacts,
  runs: readonly { station: Station; runS: number }[],
): PossibleCycle['runs'] {
  const laid: PossibleCycle['runs'] = [];
  for (const { station, runS } of runs) {
    const before = laid.at(-1);
    let offsetMs = before === undefined ? 0 : before.offsetMs + limits.startGapS * 1000;
    if (before !== undefined && limits.stationOrder === 'in_turn') {
      offsetMs = Math.max(offsetMs, before.offsetMs + before.runMs);
    }
    while (risesTooFast(laid, station, offsetMs, limits.pumpRiseLPerMin)) offsetMs += 1000;
    laid.push({ station, offsetMs, runMs: runS * 1000 });
  }
  return laid;
}

function risesTooFast(
  laid: PossibleCycle['runs'],
  station: Station,
  offsetMs: number,
  mostLPerMin: number | null,
): boolean {
  if (mostLPerMin === null) return false;
  const within = laid.filter((run) => run.offsetMs > offsetMs - 60_000);
  const rise = within.reduce((sum, run) => sum + run.station.flowLPerMin, station.flowLPerMin);
  return within.length > 0 && rise > mostLPerMin + 1e-6;
}

/** The cycle's runs at a start, as the supply sees them. */
export function runsAt({ runs }: PossibleCycle, startMs: number): SupplyRun[] {
  return runs.map(({ station, offsetMs, runMs }) => ({
    station,
    startMs: startMs + offsetMs,
    endMs: startMs + offsetMs + runMs,
  }));
}
