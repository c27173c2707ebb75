import { requireNumbers } from '../input-range.ts';

/** What the heads and the clock can do. */
export interface HeadOnClock {
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

/** What the runs of one head are worth on its clock. */
export interface HeadRuns {
  /**
   * The most whole rotations that stay within the asked depth, but at least one and at least the
   * shortest run: a part turn would leave a dry wedge.
   *
   * The run time is rotations x rotation time, rounded up to the clock's step so that the last turn
   * is finished; the depth is that of the rounded time, since water flows during all of it. So the
   * depth passes the asked one only when one rotation, the shortest run or the step forces it, and
   * the caller can see it by comparing `netMm` with what it asked. Assumes a steady rate over the
   * turn.
   *
   * @param netMm Depth wanted on the ground, at least 0 mm.
   * @throws RangeError when it is outside its range.
   */
  forDepth(netMm: number): RotationRun;
  /** So many whole rotations; no fewer than the shortest run takes, no more than the longest lets. */
  ofRotations(rotations: number): RotationRun;
}

/**
 * The runs of one head, each worked out once: placement asks for a hundred thousand of them a plan.
 *
 * @param head rate above 0 mm/h, loss 0 to below 1, rotation and step above 0 s, least run at least
 *   0 s, most run above 0 s.
 * @throws RangeError when an input is outside its range.
 * Source: arithmetic of depth = rate x time.
 * @example
 * // 1 mm at 18 mm/h without loss is 200 s: one turn of 150 s, 0.75 mm
 * headRuns({ precipitationRateMmPerH: 18, driftLossFraction: 0, rotationS: 150, leastRunS: 60,
 *   runStepS: 1 }).forDepth(1); // { rotations: 1, runS: 150, grossMm: 0.75, netMm: 0.75 }
 */
export function headRuns(head: HeadOnClock): HeadRuns {
  refuseImpossible(head, 0);
  const { precipitationRateMmPerH, driftLossFraction, rotationS, leastRunS, runStepS } = head;
  const { mostRunS = Number.POSITIVE_INFINITY } = head;
  const netMmPerS = (precipitationRateMmPerH * (1 - driftLossFraction)) / 3600;
  const least = Math.max(1, Math.ceil((leastRunS / rotationS) * (1 - SLACK_FRACTION)));
  const most = Math.max(least, Math.floor((mostRunS / rotationS) * (1 + SLACK_FRACTION)));
  const known: RotationRun[] = [];
  const runOf = (rotations: number): RotationRun => {
    const standing = known[rotations];
    if (standing !== undefined) return standing;
    const runS = Math.ceil(((rotations * rotationS) / runStepS) * (1 - SLACK_FRACTION)) * runStepS;
    const grossMm = (runS * precipitationRateMmPerH) / 3600;
    const run = { rotations, runS, grossMm, netMm: grossMm * (1 - driftLossFraction) };
    known[rotations] = run;
    return run;
  };
  return {
    forDepth(netMm) {
      if (!(netMm >= 0 && netMm < Number.POSITIVE_INFINITY)) refuseImpossible(head, netMm);
      const wantedS = Math.min((netMm / netMmPerS) * (1 + SLACK_FRACTION), mostRunS);
      let rotations = Math.max(least, Math.floor(wantedS / rotationS));
      // The clock's step can carry a run past the asked depth; one rotation fewer always undoes that
      // only when the step is no longer than a rotation, hence the loop.
      while (rotations > least && runOf(rotations).runS > wantedS) rotations -= 1;
      return runOf(rotations);
    },
    ofRotations: (rotations) => runOf(Math.max(least, Math.min(rotations, most))),
  };
}

function refuseImpossible(head: HeadOnClock, netMm: number): void {
  const { precipitationRateMmPerH, driftLossFraction, rotationS, leastRunS, runStepS } = head;
  requireNumbers('headRuns', {
    netMm: [netMm, { atLeast: 0 }],
    precipitationRateMmPerH: [precipitationRateMmPerH, { above: 0 }],
    driftLossFraction: [driftLossFraction, { atLeast: 0, below: 1 }],
    rotationS: [rotationS, { above: 0 }],
    leastRunS: [leastRunS, { atLeast: 0 }],
    ...(head.mostRunS === undefined ? {} : { mostRunS: [head.mostRunS, { above: 0 }] }),
    runStepS: [runStepS, { above: 0 }],
  });
}
