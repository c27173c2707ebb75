import type { BedBalance } from './bed-balance.ts';
import type { LaidCycle } from './bed-plan.ts';
import { cyclesNeeded, meanOfEnd } from './cycles-needed.ts';
import type { BedLeeway, PlanLeeway } from './plan-leeway.ts';
import type { Run } from './run.ts';
import type { LeewayBounds, Site, Station } from './site.ts';

/** The futures that need most, and those that need least, count to this part. */
const END_FRACTION = 0.1;

/** A bed of the plan with what was laid for it. */
export interface LaidBed {
  bedId: string;
  /** With the water that stood before, and none of what was laid. */
  balance: BedBalance;
  laid: readonly LaidCycle[];
}

/**
 * The leeway of a laid day, from what its futures need: as many spare cycles as the tenth that needs
 * most would want beyond what is laid, and one at least for a bed that somebody finds dry; as many to be
 * left out as the tenth that needs least could do without. Never more than the site's bounds.
 *
 * @param asked.fromMs New cycles start from here on.
 * @param asked.nextMs Tomorrow's first water, to which today's cycles have to last.
 * @param asked.mostL What the day's and the season's allowances leave; null: no allowance.
 */
export function leewayOf(
  beds: readonly LaidBed[],
  asked: {
    site: Pick<Site, 'stations' | 'limits'>;
    bounds: LeewayBounds;
    fromMs: number;
    untilMs: number;
    nextMs: number;
    mostL: number | null;
  },
): PlanLeeway {
  const { site } = asked;
  const own = beds.map((bed) => {
    const stations = site.stations.filter((station) => station.bedId === bed.bedId);
    return { stations, leeway: bedLeeway(bed, stations, asked), laid: bed.laid };
  });
  const mains = new Map<string, number>();
  for (const { stations, leeway, laid } of own) {
    for (const station of stations) {
      if (station.mainId === null) continue;
      const mm = stationMostL(station, leeway, laid);
      mains.set(station.mainId, (mains.get(station.mainId) ?? 0) + mm);
    }
  }
  const sumL = own.reduce((sum, { leeway }) => sum + leeway.mostL, 0);
  return {
    beds: own.map(({ leeway }) => leeway),
    mains: [...mains].map(([mainId, mostL]) => ({ mainId, mostL })),
    mostL: asked.mostL === null ? sumL : Math.min(sumL, asked.mostL),
  };
}

function bedLeeway(
  { bedId, balance, laid }: LaidBed,
  stations: readonly Station[],
  { site, bounds, fromMs, untilMs, nextMs }: Parameters<typeof leewayOf>[1],
): BedLeeway {
  const runs = laid.flatMap((cycle) => cycle.runs);
  const mostRotations = Math.max(1, ...runs.map(({ rotations }) => rotations));
  const longestMs = Math.max(0, ...laid.map(({ startMs, endMs }) => endMs - startMs));
  const needed = cyclesNeeded(balance, {
    fromMs,
    untilMs: nextMs,
    partsMm: cycleOfParts(balance, laid, stations),
    apartMs: longestMs + site.limits.restMin * 60_000,
  });
  const wanted = Math.ceil(meanOfEnd(needed, END_FRACTION, 'most') - ROUNDING) - laid.length;
  const enough = Math.floor(meanOfEnd(needed, END_FRACTION, 'least') + ROUNDING);
  const spareCycles = Math.min(bounds.spareCycles, Math.max(1, wanted));
  const leeway = {
    bedId,
    laidCycles: laid.length,
    leaveOutCycles: bounds.leaveOut ? Math.max(0, laid.length - enough) : 0,
    moveMin: bounds.moveMin,
    spareCycles,
    fromMs,
    untilMs,
    mostRotations,
    mostCycles: laid.length + spareCycles,
  };
  const mostL = stations.reduce((sum, one) => sum + stationMostL(one, leeway, laid), 0);
  return { ...leeway, mostL };
}

const ROUNDING = 1e-9;

/** What a station gives at most: what is laid, and in each spare its most rotations. */
function stationMostL(
  station: Station,
  { spareCycles, mostRotations }: Pick<BedLeeway, 'spareCycles' | 'mostRotations'>,
  laid: readonly LaidCycle[],
): number {
  const runs = laid.flatMap((cycle) => cycle.runs).filter((run) => run.stationId === station.id);
  const seconds = runs.reduce((sum, { runS }) => sum + runS, 0);
  const longestS = Math.max(mostRotations * station.rotationS, ...runs.map(({ runS }) => runS));
  return ((seconds + spareCycles * longestS) * station.flowLPerMin) / 60;
}

/** What one cycle brings to each part, mm: the mean of those that are laid, else of one rotation. */
function cycleOfParts(
  { parts }: BedBalance,
  laid: readonly LaidCycle[],
  stations: readonly Station[],
): number[] {
  return parts.map(({ stationIds }) => {
    const own = stations.filter(({ id }) => stationIds.length === 0 || stationIds.includes(id));
    const ids = own.map(({ id }) => id);
    const runs = laid
      .flatMap((cycle) => cycle.runs as readonly Pick<Run, 'stationId' | 'netMm'>[])
      .filter(({ stationId }) => ids.includes(stationId));
    if (runs.length > 0) {
      const sumMm = runs.reduce((sum, { netMm }) => sum + netMm, 0);
      return sumMm / (laid.length * Math.max(1, own.length));
    }
    const rotationsMm = own.map((one) => (one.precipitationRateMmPerH * one.rotationS) / 3600);
    return rotationsMm.reduce((sum, mm) => sum + mm, 0) / Math.max(1, own.length);
  });
}
