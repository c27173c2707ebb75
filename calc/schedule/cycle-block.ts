import { longestDoseMm, SAND_FRONT_SUCTION_MM, surfaceStorageMm } from '../sand/infiltration.ts';
import { type HeadRuns, headRuns, type RotationRun } from '../sprinkler/run-time.ts';
import type { StationWater } from './run.ts';
import type { Bed, Limits, Station } from './site.ts';

/** Keeps a depth of whole turns from losing one to rounding of the machine. */
const SLACK_FRACTION = 1e-9;

/** One station's part of a cycle, relative to the cycle's start. */
interface BlockRun {
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
  /** Turns of the station that gives most in one: it sets the depth of the cycle. */
  rotations: number;
  /** What the cycle is worth at the wettest part, mm: its depth where all parts are alike. */
  levelMm: number;
  /** The depths to ask for so that it gives one turn less, or one more, mm. */
  oneFewerMm: number;
  oneMoreMm: number;
}

/** What the station that gives most in a turn makes of a cycle. */
type Lead = Pick<CycleBlock, 'rotations' | 'levelMm' | 'oneFewerMm' | 'oneMoreMm'>;

/** What decides about the runs of a cycle beside its depth. */
export interface BlockGround {
  stations: readonly Station[];
  driftLossFraction: number;
  limits: Pick<
    Limits,
    'startGapS' | 'leastRunS' | 'mostRunS' | 'runStepS' | 'stationOrder' | 'pumpRiseLPerMin'
  >;
}

/**
 * The cycle that gives a bed a net depth: every station runs whole rotations, never more than the
 * depth asked for unless one rotation already is more.
 *
 * The station that gives most in one turn sets how far the bed is brought up; the others run as many
 * turns as come nearest to that, so that part circles, which turn faster, get more of them. A part
 * that is drier than the wettest one gets that much more.
 *
 * @param input.netMm What the wettest part may get.
 * @param input.drierMm How much more each station's part could take than the wettest; left out: all
 *   are alike.
 * @param input.capMm Most that any part may get; left out: what its room lets.
 * @throws RangeError when the bed has no station.
 */
export function cycleBlock(
  input: BlockGround & { netMm: number; drierMm?: readonly number[]; capMm?: number },
): CycleBlock {
  const { stations, netMm, drierMm = [], capMm = Infinity } = input;
  const [first] = stations;
  if (first === undefined) {
    throw new RangeError('stations: a cycle needs a station (got none); give the bed a station');
  }
  const mostMm = (at: number) => Math.min(netMm + (drierMm[at] ?? 0), capMm);
  const isAlike =
    drierMm.every((mm) => mm === 0) && stations.every((station) => watersAlike(station, first));
  if (isAlike) {
    const run = runOf(input, first, mostMm(0));
    return block(
      input,
      stations.map(() => run),
      leadOf(input, first, run.rotations),
    );
  }
  const turnsMm = stations.map((station) => turnMm(input, station));
  const leading = turnsMm.indexOf(Math.max(...turnsMm));
  const lead = stations[leading] ?? first;
  const leadRun = runOf(input, lead, mostMm(leading));
  const leadMm = leadRun.netMm / lead.runTimeMultiplierFraction;
  const levelMm = leadMm - (drierMm[leading] ?? 0);
  // Where its one turn is more than there is room for, the others may pass theirs by no more.
  const overMm = Math.max(0, leadMm - mostMm(leading));
  const runs = stations.map((station, at) => {
    if (at === leading) return leadRun;
    const wantedMm = Math.min(levelMm + (drierMm[at] ?? 0), mostMm(at));
    return nearestRun(input, station, { wantedMm, mostMm: Math.min(mostMm(at) + overMm, capMm) });
  });
  return block(input, runs, leadOf(input, lead, leadRun.rotations, drierMm[leading]));
}

/**
 * The cycle in which each station runs so many turns.
 *
 * @param turns Whole turns of each station, in their order.
 */
export function blockOfTurns(input: BlockGround, turns: readonly number[]): CycleBlock {
  const runs = input.stations.map((station, at) =>
    runsOf(input, station).ofRotations(turns[at] ?? 1),
  );
  const turnsMm = runs.map((run) => run.netMm / run.rotations);
  const leading = turnsMm.indexOf(Math.max(...turnsMm));
  const lead = input.stations[leading];
  if (lead === undefined) {
    throw new RangeError('stations: a cycle needs a station (got none); give the bed a station');
  }
  return block(input, runs, leadOf(input, lead, runs[leading]?.rotations ?? 1));
}

/** Whether no station gives more than a cycle may bring, unless its single turn already does. */
export function isWithinCap({ runs }: Pick<CycleBlock, 'runs'>, doseCapMm: number): boolean {
  return runs.every(
    ({ station, rotations, netMm }) =>
      rotations === 1 || netMm <= doseCapMm * station.runTimeMultiplierFraction + 1e-9,
  );
}

/** The turns of each station when the one that gives most in a turn runs so many, all for one depth. */
export function turnsLike(ground: BlockGround, rotations: number): number[] {
  const { stations, driftLossFraction } = ground;
  const turnsMm = stations.map((station) => turnMm(ground, station));
  const leading = stations[turnsMm.indexOf(Math.max(...turnsMm))];
  const wantedMm = leading === undefined ? 0 : depthOfTurnsMm(ground, leading, rotations);
  return stations.map((station) => {
    if (station === leading) return rotations;
    // By the turn itself: the clock's step lengthens a whole run once, and not each of its turns.
    const { rotationS, precipitationRateMmPerH, runTimeMultiplierFraction: share } = station;
    const oneMm = (rotationS * precipitationRateMmPerH * (1 - driftLossFraction)) / 3600 / share;
    return Math.max(1, Math.round(wantedMm / oneMm));
  });
}

/** What the cycle's stations give when it starts then. */
export function stationWaterOf(
  { runs }: Pick<CycleBlock, 'runs'>,
  startMs: number,
): StationWater[] {
  return runs.map(({ station, offsetS, runS, netMm }) => ({
    stationId: station.id,
    startMs: startMs + offsetS * 1000,
    endMs: startMs + (offsetS + runS) * 1000,
    netMm,
  }));
}

/**
 * Stations start one after the other, `startGapS` apart at least (valves that open together hammer
 * the pipe), and no faster than the pump's flow may rise; `in_turn` waits for each station to end.
 */
function block(
  { stations, limits }: BlockGround,
  stationRuns: readonly RotationRun[],
  lead: Lead,
): CycleBlock {
  const runs: BlockRun[] = [];
  let offsetS = 0;
  for (const [at, station] of stations.entries()) {
    const run = stationRuns[at];
    if (run === undefined) continue;
    offsetS = riseOffsetS(runs, { station, fromS: offsetS }, limits.pumpRiseLPerMin);
    const { runS, rotations, grossMm, netMm } = run;
    runs.push({ station, offsetS, runS, rotations, grossMm, netMm });
    const { startGapS, stationOrder } = limits;
    offsetS += stationOrder === 'in_turn' ? Math.max(run.runS, startGapS) : startGapS;
  }
  let [durationS, leadS, grossMm, netMm] = [0, 0, 0, 0];
  for (const run of runs) {
    durationS = Math.max(durationS, run.offsetS + run.runS);
    leadS = Math.max(leadS, run.offsetS);
    grossMm += run.grossMm;
    netMm += run.netMm;
  }
  return {
    runs,
    durationS,
    leadS,
    grossMm: grossMm / runs.length,
    netMm: netMm / runs.length,
    ...lead,
  };
}

/** How the station that sets the depth of a cycle stands, for a depth that counts at the wettest part. */
function leadOf(ground: BlockGround, station: Station, rotations: number, drierMm = 0): Lead {
  const depthMm = (turns: number) => depthOfTurnsMm(ground, station, turns) - drierMm;
  return {
    rotations,
    levelMm: depthMm(rotations),
    oneFewerMm: depthMm(rotations - 1),
    oneMoreMm: depthMm(rotations + 1),
  };
}

/** The depth to ask a station for so that it runs so many turns, mm. */
function depthOfTurnsMm(
  { driftLossFraction, limits: { runStepS } }: BlockGround,
  { rotationS, precipitationRateMmPerH, runTimeMultiplierFraction }: Station,
  turns: number,
): number {
  const runS = Math.ceil(((turns * rotationS) / runStepS) * (1 - SLACK_FRACTION)) * runStepS;
  const netMm = (runS * precipitationRateMmPerH * (1 - driftLossFraction)) / 3600;
  return netMm / runTimeMultiplierFraction;
}

/** Whether two stations give the same depth in the same time. */
export function watersAlike(a: Station, b: Station): boolean {
  return (
    a.precipitationRateMmPerH === b.precipitationRateMmPerH &&
    a.rotationS === b.rotationS &&
    a.runTimeMultiplierFraction === b.runTimeMultiplierFraction
  );
}

/** Net depth that a station's shortest run stands for, mm: one turn as a rule. */
function turnMm(ground: BlockGround, station: Station): number {
  return runOf(ground, station, 0).netMm / station.runTimeMultiplierFraction;
}

function runOf(ground: BlockGround, station: Station, netMm: number): RotationRun {
  return runsOf(ground, station).forDepth(Math.max(0, netMm) * station.runTimeMultiplierFraction);
}

/** What was worked out of stations under limits, by their drift. */
const runsUnder = new WeakMap<BlockGround['limits'], WeakMap<Station, Map<number, HeadRuns>>>();

function runsOf({ driftLossFraction, limits }: BlockGround, station: Station): HeadRuns {
  const ofStations = runsUnder.get(limits) ?? new WeakMap<Station, Map<number, HeadRuns>>();
  if (!runsUnder.has(limits)) runsUnder.set(limits, ofStations);
  const byDrift = ofStations.get(station) ?? new Map<number, HeadRuns>();
  if (!ofStations.has(station)) ofStations.set(station, byDrift);
  const known = byDrift.get(driftLossFraction);
  if (known !== undefined) return known;
  const { precipitationRateMmPerH, rotationS } = station;
  const { leastRunS, mostRunS, runStepS } = limits;
  const head = { precipitationRateMmPerH, rotationS, leastRunS, mostRunS, runStepS };
  const runs = headRuns({ ...head, driftLossFraction });
  byDrift.set(driftLossFraction, runs);
  return runs;
}

/** The whole turns that come nearest to a depth, over it too where that is within what may be given. */
function nearestRun(
  ground: BlockGround,
  station: Station,
  { wantedMm, mostMm }: { wantedMm: number; mostMm: number },
): RotationRun {
  const under = runOf(ground, station, wantedMm);
  const share = station.runTimeMultiplierFraction;
  const over = runsOf(ground, station).ofRotations(under.rotations + 1);
  const overMm = over.netMm / share;
  const isNearer = overMm - wantedMm < wantedMm - under.netMm / share;
  return isNearer && overMm <= mostMm + 1e-9 ? over : under;
}

const MINUTE_S = 60;

/**
 * The earliest offset from `fromS` on at which a station may start after those that have begun, so
 * that no minute sees more flow come up than may, seconds. A station whose own flow is more than
 * that starts alone in its minute: nothing else would ever let it run.
 *
 * @param begun Stations of the cycle in order of their offsets.
 * @param pumpRiseLPerMin Most by which the flow may rise within a minute; null: any.
 */
export function riseOffsetS(
  begun: readonly { station: Pick<Station, 'flowLPerMin'>; offsetS: number }[],
  next: { station: Pick<Station, 'flowLPerMin'>; fromS: number },
  pumpRiseLPerMin: number | null,
): number {
  if (pumpRiseLPerMin === null) return next.fromS;
  let offsetS = next.fromS;
  for (;;) {
    const within = begun.filter((one) => one.offsetS > offsetS - MINUTE_S);
    const [oldest] = within;
    const rise = within.reduce((sum, one) => sum + one.station.flowLPerMin, 0);
    if (oldest === undefined || rise + next.station.flowLPerMin <= pumpRiseLPerMin + 1e-9) {
      return offsetS;
    }
    offsetS = oldest.offsetS + MINUTE_S;
  }
}

/** The wetted zone conducts about half of what saturated sand does (Rawls and others 1983). */
const WETTED_FRACTION = 0.5;
/** Water content that a moist seedbed still takes up ahead of the front: assumed, on the low side. */
const MOIST_DEFICIT_FRACTION = 0.1;

/**
 * The most gross water that one cycle may bring before a bed's surface ponds, mm; Infinity where the
 * heads never outrun the sand. A longer dose becomes several cycles with the bed's rest between.
 *
 * Bare, nothing may stand on the surface: a film floats fine seed. With cover the hollows of the
 * slope may fill. The suction is that of sand in general, the deficit that of a bed kept moist.
 *
 * @throws RangeError when a figure is outside its range.
 */
export function pondingCapMm(
  bed: Pick<Bed, 'sand' | 'slopePct'>,
  stations: readonly Station[],
  bare: boolean,
): number {
  const rateMmPerH = Math.max(0, ...stations.map((one) => one.precipitationRateMmPerH));
  if (rateMmPerH === 0) return Number.POSITIVE_INFINITY;
  return longestDoseMm({
    sand: {
      conductivityMmPerH: WETTED_FRACTION * bed.sand.saturatedMmPerH,
      suctionMm: SAND_FRONT_SUCTION_MM,
      deficitFraction: MOIST_DEFICIT_FRACTION,
    },
    rateMmPerH,
    surplusMm: bare ? 0 : surfaceStorageMm(bed.slopePct),
  });
}
