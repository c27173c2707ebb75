import { requireNumbers } from './require-number.ts';

/** A depth to give, and what the heads and the clock can do. */
export interface DepthToRun {
  /** Depth wanted on the ground, mm. */
  netMm: number;
  /** Gross rate of the station. */
  precipitationRateMmPerH: number;
  /** Drift and evaporation in flight, part of the gross depth. */
  driftLossFraction: number;
  /** One full turn of the heads. */
  rotationS: number;
  /** Shortest run worth opening a valve for. */
  leastRunS: number;
  /** Longest run, unless one rotation or the shortest run already is longer; left out: no cap. */
  mostRunS?: number;
  /** Run times are whole multiples of this. */
  runStepS: number;
}

/** A run in whole rotations and what it really gives. */
export interface RotationRun {
  rotations: number;
  runS: number;
  /** Depth that leaves the nozzles over the whole run. */
  grossMm: number;
  /** Depth that reaches the ground. */
  netMm: number;
}

/** Keeps a depth that is a whole number of rotations from losing one to rounding of the machine. */
const SLACK_FRACTION = 1e-9;

/**
 * The most whole rotations that stay within the asked depth, but at least one and at least the
 * shortest run: a part turn would leave a dry wedge.
 *
 * The run time is rotations x rotation time, rounded up to the clock's step so that the last turn is
 * finished; the depth is that of the rounded time, since water flows during all of it. So the depth
 * passes the asked one only when one rotation, the shortest run or the step forces it, and the
 * caller can see it by comparing `netMm` with what it asked. Assumes a steady rate over the turn.
 *
 * @param asked depth at least 0 mm, rate above 0 mm/h, loss 0 to below 1, rotation and step above
 *   0 s, least run at least 0 s, most run above 0 s.
 * @throws RangeError when an input is outside its range.
 * Source: arithmetic of depth = rate x time.
 * @example
 * // 1 mm at 18 mm/h without loss is 200 s: one turn of 150 s, 0.75 mm
 * runForDepth({ netMm: 1, precipitationRateMmPerH: 18, driftLossFraction: 0, rotationS: 150,
 *   leastRunS: 60, runStepS: 1 }); // { rotations: 1, runS: 150, grossMm: 0.75, netMm: 0.75 }
 */
export function runForDepth(asked: DepthToRun): RotationRun {
  const { netMm, precipitationRateMmPerH, driftLossFraction, rotationS } = asked;
  const { mostRunS = Number.POSITIVE_INFINITY } = asked;
  refuseImpossible(asked);
  const netMmPerS = (precipitationRateMmPerH * (1 - driftLossFraction)) / 3600;
  const runSWanted = Math.min((netMm / netMmPerS) * (1 + SLACK_FRACTION), mostRunS);

  const leastRotations = fewestRotations(asked);
  let rotations = Math.max(leastRotations, Math.floor(runSWanted / rotationS));
  // The clock's step can carry a run past the asked depth; one rotation fewer always undoes that
  // only when the step is no longer than a rotation, hence the loop.
  while (rotations > leastRotations && secondsOf(asked, rotations) > runSWanted) rotations -= 1;

  return runOf(asked, rotations);
}

/**
 * So many whole rotations, and what they give; no fewer than the shortest run takes, and no more than
 * the longest lets.
 *
 * @param rotations wanted, whole, at least 1
 * @throws RangeError when an input is outside its range.
 */
export function runOfRotations(head: Omit<DepthToRun, 'netMm'>, rotations: number): RotationRun {
  refuseImpossible({ ...head, netMm: 0 });
  const least = fewestRotations(head);
  const { mostRunS = Number.POSITIVE_INFINITY, rotationS } = head;
  const most = Math.floor((mostRunS / rotationS) * (1 + SLACK_FRACTION));
  return runOf(head, Math.max(least, Math.min(rotations, most)));
}

function fewestRotations({ leastRunS, rotationS }: Omit<DepthToRun, 'netMm'>): number {
  return Math.max(1, Math.ceil((leastRunS / rotationS) * (1 - SLACK_FRACTION)));
}

/** The run time of so many rotations on the clock's step. */
function secondsOf({ rotationS, runStepS }: Omit<DepthToRun, 'netMm'>, rotations: number): number {
  return Math.ceil(((rotations * rotationS) / runStepS) * (1 - SLACK_FRACTION)) * runStepS;
}

function runOf(head: Omit<DepthToRun, 'netMm'>, rotations: number): RotationRun {
  const runS = secondsOf(head, rotations);
  const grossMm = (runS * head.precipitationRateMmPerH) / 3600;
  return { rotations, runS, grossMm, netMm: grossMm * (1 - head.driftLossFraction) };
}

/** Placement asks this a hundred thousand times a plan: the full check, with its words, only on need. */
function refuseImpossible(asked: DepthToRun): void {
  const { netMm, precipitationRateMmPerH, driftLossFraction, rotationS, leastRunS, runStepS } =
    asked;
  const sum =
    netMm + precipitationRateMmPerH + driftLossFraction + rotationS + leastRunS + runStepS;
  const isSound =
    Number.isFinite(sum) &&
    netMm >= 0 &&
    precipitationRateMmPerH > 0 &&
    driftLossFraction >= 0 &&
    driftLossFraction < 1 &&
    rotationS > 0 &&
    leastRunS >= 0 &&
    (asked.mostRunS === undefined || asked.mostRunS > 0) &&
    runStepS > 0;
  if (isSound) return;
  requireNumbers('runForDepth', {
    netMm: [netMm, { atLeast: 0 }],
    precipitationRateMmPerH: [precipitationRateMmPerH, { above: 0 }],
    driftLossFraction: [driftLossFraction, { atLeast: 0, below: 1 }],
    rotationS: [rotationS, { above: 0 }],
    leastRunS: [leastRunS, { atLeast: 0 }],
    ...(asked.mostRunS === undefined ? {} : { mostRunS: [asked.mostRunS, { above: 0 }] }),
    runStepS: [runStepS, { above: 0 }],
  });
}
